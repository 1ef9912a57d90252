//! The smallest spreadsheets that say what a table says: parts stored in a ZIP file, unpacked.

const MAIN: &str = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";

/// A table as XLSX, every cell as text in its place.
pub(crate) fn xlsx(table: &[Vec<String>]) -> Vec<u8> {
    let mut rows = String::new();
    for (row, cells) in table.iter().enumerate() {
        rows.push_str(&format!("<row r=\"{}\">", row + 1));
        for (column, cell) in cells
            .iter()
            .enumerate()
            .filter(|(_, cell)| !cell.is_empty())
        {
            let place = format!("{}{}", letters(column), row + 1);
            rows.push_str(&format!(
                "<c r=\"{place}\" t=\"inlineStr\"><is><t xml:space=\"preserve\">{}</t></is></c>",
                escaped(cell)
            ));
        }
        rows.push_str("</row>");
    }
    let sheet = format!("<worksheet xmlns=\"{MAIN}\"><sheetData>{rows}</sheetData></worksheet>");
    xlsx_of(sheet.as_bytes())
}

/// An XLSX file of one sheet, whose part is given as it stands.
pub(crate) fn xlsx_of(sheet: &[u8]) -> Vec<u8> {
    const OFFICE: &str = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
    const PACKAGE: &str = "http://schemas.openxmlformats.org/package/2006";
    zip(&[
        (
            "[Content_Types].xml",
            format!(
                "<Types xmlns=\"{PACKAGE}/content-types\"><Default Extension=\"rels\" ContentType=\"application/vnd.openxmlformats-package.relationships+xml\"/><Default Extension=\"xml\" ContentType=\"application/xml\"/></Types>"
            )
            .into_bytes(),
        ),
        (
            "_rels/.rels",
            format!(
                "<Relationships xmlns=\"{PACKAGE}/relationships\"><Relationship Id=\"r1\" Type=\"{OFFICE}/officeDocument\" Target=\"xl/workbook.xml\"/></Relationships>"
            )
            .into_bytes(),
        ),
        (
            "xl/workbook.xml",
            format!(
                "<workbook xmlns=\"{MAIN}\" xmlns:r=\"{OFFICE}\"><sheets><sheet name=\"People\" sheetId=\"1\" r:id=\"r1\"/></sheets></workbook>"
            )
            .into_bytes(),
        ),
        (
            "xl/_rels/workbook.xml.rels",
            format!(
                "<Relationships xmlns=\"{PACKAGE}/relationships\"><Relationship Id=\"r1\" Type=\"{OFFICE}/worksheet\" Target=\"worksheets/sheet1.xml\"/></Relationships>"
            )
            .into_bytes(),
        ),
        ("xl/worksheets/sheet1.xml", sheet.to_vec()),
    ])
}

const NAMES: &str = "urn:oasis:names:tc:opendocument:xmlns";

/// A table as ODS.
pub(crate) fn ods(table: &[Vec<String>]) -> Vec<u8> {
    let mut rows = String::new();
    for cells in table {
        rows.push_str("<table:table-row>");
        for cell in cells {
            if cell.is_empty() {
                rows.push_str("<table:table-cell/>");
            } else {
                let cell = escaped(cell);
                rows.push_str(&format!("<table:table-cell office:value-type=\"string\"><text:p>{cell}</text:p></table:table-cell>"));
            }
        }
        rows.push_str("</table:table-row>");
    }
    let content = format!(
        "<office:document-content xmlns:office=\"{NAMES}:office:1.0\" xmlns:table=\"{NAMES}:table:1.0\" xmlns:text=\"{NAMES}:text:1.0\"><office:body><office:spreadsheet><table:table table:name=\"People\">{rows}</table:table></office:spreadsheet></office:body></office:document-content>"
    );
    ods_of(content.as_bytes())
}

/// An ODS file, whose content is given as it stands.
pub(crate) fn ods_of(content: &[u8]) -> Vec<u8> {
    ods_with("", content)
}

/// An ODS file locked with a password (OpenDocument 1.3, part 2, 4.8): its content is no text.
pub(crate) fn locked_ods() -> Vec<u8> {
    let entry = "<manifest:file-entry manifest:full-path=\"content.xml\"><manifest:encryption-data/>\
                 </manifest:file-entry>";
    ods_with(entry, &[0x8f, 0x3c, 0x00, 0x26, 0xff])
}

fn ods_with(entries: &str, content: &[u8]) -> Vec<u8> {
    zip(&[
        (
            "mimetype",
            b"application/vnd.oasis.opendocument.spreadsheet".to_vec(),
        ),
        (
            "META-INF/manifest.xml",
            format!(
                "<manifest:manifest xmlns:manifest=\"{NAMES}:manifest:1.0\">{entries}</manifest:manifest>"
            )
            .into_bytes(),
        ),
        ("content.xml", content.to_vec()),
    ])
}

fn letters(column: usize) -> String {
    let mut out = String::new();
    let mut left = column + 1;
    while left > 0 {
        let digit = u8::try_from((left - 1) % 26).expect("it is below 26");
        out.insert(0, char::from(b'A' + digit));
        left = (left - 1) / 26;
    }
    out
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;")
        .replace('<', "&lt;")
        .replace('>', "&gt;")
}

/// Parts stored in a ZIP file.
fn zip(parts: &[(&str, Vec<u8>)]) -> Vec<u8> {
    let mut out = Vec::new();
    let mut directory = Vec::new();
    for (name, text) in parts {
        let at = u32::try_from(out.len()).expect("it is small");
        let size = u32::try_from(text.len())
            .expect("it is small")
            .to_le_bytes();
        let name_size = u16::try_from(name.len())
            .expect("it is short")
            .to_le_bytes();
        let sum = crc32(text).to_le_bytes();
        // Version 1.0, no flags, stored, no time: APPNOTE.TXT of the ZIP format, 4.3.7 and 4.3.12.
        let common = [
            &[10, 0, 0, 0, 0, 0, 0, 0, 0x21, 0x28],
            &sum[..],
            &size,
            &size,
            &name_size,
            &[0, 0],
        ]
        .concat();
        out.extend([b"PK\x03\x04", &common[..], name.as_bytes(), text.as_slice()].concat());
        let place = at.to_le_bytes();
        directory.extend(
            [
                b"PK\x01\x02\x0a\x00",
                &common[..],
                &[0; 10],
                &place[..],
                name.as_bytes(),
            ]
            .concat(),
        );
    }
    let count = u16::try_from(parts.len())
        .expect("they are few")
        .to_le_bytes();
    let size = u32::try_from(directory.len())
        .expect("it is small")
        .to_le_bytes();
    let at = u32::try_from(out.len()).expect("it is small").to_le_bytes();
    out.extend(directory);
    out.extend(
        [
            b"PK\x05\x06\0\0\0\0",
            &count[..],
            &count,
            &size,
            &at,
            &[0, 0],
        ]
        .concat(),
    );
    out
}

/// CRC-32 as ZIP has it (polynomial 0xEDB88320, reflected).
fn crc32(bytes: &[u8]) -> u32 {
    let mut sum = u32::MAX;
    for byte in bytes {
        sum ^= u32::from(*byte);
        for _ in 0..8 {
            sum = if sum & 1 == 1 {
                (sum >> 1) ^ 0xedb8_8320
            } else {
                sum >> 1
            };
        }
    }
    !sum
}
