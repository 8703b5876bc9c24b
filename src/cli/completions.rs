//! `completions`: what lets a shell complete what is typed.

use super::{Exit, Failure, Terminal};
use clap_complete::{Shell, generate};

/// Said after the help: where each shell looks.
pub(super) const HELP: &str = "Put it where your shell looks, and start a new one:
  bash        flapwright completions bash > ~/.local/share/bash-completion/completions/flapwright
  zsh         flapwright completions zsh > a folder of your fpath, as _flapwright
  fish        flapwright completions fish > ~/.config/fish/completions/flapwright.fish
  elvish      eval (flapwright completions elvish | slurp), in rc.elv
  powershell  flapwright completions powershell | Out-String | Invoke-Expression, in your profile";

pub(super) fn run(shell: Shell, mut command: clap::Command, terminal: &mut Terminal<'_>) -> Result<Exit, Failure> {
    // By way of memory: the library ends the program where it cannot write.
    let mut script = Vec::new();
    generate(shell, &mut command, "flapwright", &mut script);
    terminal.out.write_all(&script)?;
    Ok(Exit::Good)
}
