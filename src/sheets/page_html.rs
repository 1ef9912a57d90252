//! A sheet as one HTML file.

use maud::{Markup, html};

use super::figure::Size;
use super::html::{Frame, Print, page as frame, said, told_figure};
use super::page::{Block, Cell, Document, Group, Item, Page, Table};
use crate::library::Library;

/// The sheet as one HTML file.
pub fn html(document: &Document, library: &Library, print: Print) -> String {
    let around = Frame {
        title: &document.title,
        kind: document.kind,
        style: document.style,
        print,
    };
    let alone = document.pages.len() == 1;
    let render = Render {
        library,
        print,
        level: if alone { 1 } else { 2 },
    };
    frame(
        &around,
        html! {
            @if !alone { h1 class="unseen" { (document.title) ", " (document.kind) } }
            @for (place, page) in document.pages.iter().enumerate() {
                div class=[(place > 0).then_some("newpage")] { (render.page(page)) }
            }
        },
    )
}

struct Render<'a> {
    library: &'a Library,
    print: Print,
    /// The level of a page's title.
    level: u8,
}

impl Render<'_> {
    fn page(&self, page: &Page) -> Markup {
        html! {
            (self.heading(0, "title", &page.title))
            @if !page.when.is_empty() { p class="when" { (page.when) } }
            @let parts = page.blocks.iter().position(|block| matches!(block, Block::Heading(_)));
            @for (place, block) in page.blocks.iter().enumerate() {
                (self.block(block, parts.is_some_and(|part| part < place)))
            }
        }
    }

    /// A heading so many levels below the page's title.
    fn heading(&self, below: u8, class: &str, words: &str) -> Markup {
        let words = said(words, None);
        match self.level + below {
            1 => html! { h1 class=(class) { bdi { (words) } } },
            2 => html! { h2 class=(class) { bdi { (words) } } },
            3 => html! { h3 class=(class) { (words) } },
            _ => html! { h4 class=(class) { (words) } },
        }
    }

    /// A block, within a part of the page that has a name of its own or not.
    fn block(&self, block: &Block, within: bool) -> Markup {
        match block {
            Block::Heading(words) => self.heading(1, "part", words),
            Block::Line(words) => html! { p { (said(words, None)) } },
            Block::Said(words, lang) => html! { p { (said(words, lang.as_deref())) } },
            Block::List(lines) => {
                html! { ul class="list" { @for line in lines { li { (said(line, None)) } } } }
            }
            Block::Table(table) => self.table(table),
            Block::Item(item) => self.item(item, 1 + u8::from(within)),
            Block::Field(label, Some(value)) => html! { p { (label) ": " (said(value, None)) } },
            Block::Field(label, None) => {
                html! { p class="field" { span { (label) ": " } span class="blank" {} } }
            }
            Block::Ruled(label, lines) => html! {
                div class="ruled" {
                    p { (label) ":" }
                    @for _ in 0..*lines { div class="rule" {} }
                }
            },
        }
    }

    fn item(&self, item: &Item, below: u8) -> Markup {
        let size = item.size[usize::from(self.print.large)];
        html! {
            div class=(if item.figure.is_some() { "item" } else { "item bare" }) {
                @if let Some(shape) = &item.figure { div class="drawn" { (told_figure(self.library, shape, size)) } }
                div {
                    (self.heading(below, "does", &item.heading))
                    @if let Some(first) = &item.first { p class="first" { (said(first, None)) } }
                    @for line in &item.lines { p { (said(line, None)) } }
                }
            }
        }
    }

    /// A table for each group, so that its name repeats where it is cut.
    fn table(&self, table: &Table) -> Markup {
        html! {
            @for (place, group) in table.groups.iter().enumerate() {
                (self.group(table, group, place == 0))
            }
        }
    }

    fn group(&self, table: &Table, group: &Group, first: bool) -> Markup {
        let level = self.level + 1;
        html! {
            table class={ "rows " (table.style) } role="table" {
                thead role="rowgroup" {
                    tr class="heads" role="row" {
                        @for (place, head) in table.heads.iter().enumerate() {
                            th class={ "c" (place + 1) } scope="col" role="columnheader" {
                                span class=[(!first || head.is_empty()).then_some("unseen")] {
                                    @if head.is_empty() { "Figure" } @else { (head) }
                                }
                            }
                        }
                    }
                    @if !group.name.is_empty() {
                        tr role="row" {
                            th class="section" colspan=(table.heads.len()) scope="colgroup" role="columnheader" {
                                span class="until" { (group.aside) }
                                div role="heading" aria-level=(level) { (group.name) }
                            }
                        }
                    }
                }
                tbody role="rowgroup" {
                    @for row in &group.rows {
                        tr role="row" {
                            @for (place, cell) in row.iter().enumerate() {
                                @let class = format!("c{}", place + 1);
                                @let head = table.heads.get(place).copied().unwrap_or_default();
                                @if place == 0 { th class=(class) scope="row" role="rowheader" { (named(head, cell)) (self.cell(cell)) } }
                                @else { td class=(class) role="cell" { (named(head, cell)) (self.cell(cell)) } }
                            }
                        }
                    }
                }
            }
        }
    }

    fn cell(&self, cell: &Cell) -> Markup {
        let size = if self.print.large {
            Size {
                width_mm: 46.0,
                height_mm: 32.0,
            }
        } else {
            Size {
                width_mm: 16.0,
                height_mm: 11.5,
            }
        };
        html! {
            @if let Some(shape) = &cell.figure { (told_figure(self.library, shape, size)) }
            @if cell.tick { span class="tick" role="img" aria-label="a box to tick" {} }
            @if !cell.strong.is_empty() { span class="strong" { bdi { (cell.strong) } } " " }
            @for line in &cell.lines { span class="line" { (said(line, None)) } " " }
        }
    }
}

/// The head of a column, for where the columns are gone; a clock needs none.
fn named(head: &str, cell: &Cell) -> Markup {
    let empty = cell.words().is_empty();
    html! { @if !empty && !head.is_empty() && head != "Clock" { span class="narrow" { (head) ": " } } }
}
