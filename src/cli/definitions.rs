//! What is made from the definitions of the arguments: shell completions and the manual page.

use clap::CommandFactory;
use clap_complete::Shell;
use clap_mangen::roff::{Roff, bold, roman};

use super::args::{Cli, Common};
use super::{Ended, Stopped, output};

/// `kindfold completions SHELL`.
pub(super) fn completions(shell: Shell, common: &Common) -> Result<Ended, Stopped> {
    let mut script = Vec::new();
    clap_complete::generate(shell, &mut Cli::command(), "kindfold", &mut script);
    output::result(&String::from_utf8_lossy(&script), common)?;
    Ok(Ended::Done)
}

/// `kindfold manual`: one page with every command, in roff.
pub(super) fn manual(common: &Common) -> Result<Ended, Stopped> {
    let mut page = Vec::new();
    let write = |page: &mut Vec<u8>| -> std::io::Result<()> {
        let mut cli = Cli::command();
        cli.build();
        let man = clap_mangen::Man::new(cli.clone());
        man.render_title(page)?;
        man.render_name_section(page)?;
        man.render_synopsis_section(page)?;
        man.render_description_section(page)?;
        man.render_options_section(page)?;
        for command in cli
            .get_subcommands()
            .filter(|command| !command.is_hide_set() && command.get_name() != "help")
        {
            let usage = command.clone().render_usage().to_string();
            let about = command.get_long_about().or_else(|| command.get_about());
            let about = about.map(ToString::to_string).unwrap_or_default();
            let mut roff = Roff::default();
            roff.control("SH", [command.get_name().to_uppercase().as_str()]);
            roff.text([roman(about)]);
            roff.control("PP", []);
            roff.text([bold(usage.trim_start_matches("Usage: "))]);
            roff.to_writer(page)?;
            clap_mangen::Man::new(command.clone()).render_options_section(page)?;
        }
        man.render_extra_section(page)?;
        man.render_version_section(page)
    };
    write(&mut page).map_err(|cause| Stopped::Output {
        path: "the manual page".into(),
        cause,
    })?;
    output::result(&String::from_utf8_lossy(&page), common)?;
    Ok(Ended::Done)
}
