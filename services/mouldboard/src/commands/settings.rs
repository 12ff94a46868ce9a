//! `mouldboard settings`.

use std::process::ExitCode;

use crate::settings::Loaded;

/// Prints every setting with its value, its source and its meaning.
pub fn list(loaded: &Loaded) -> ExitCode {
    let lines = loaded.lines();
    let width = |of: fn(&crate::settings::Line) -> usize| lines.iter().map(of).max().unwrap_or(0);
    let (name, value, source) =
        (width(|l| l.name.len()), width(|l| l.value.chars().count()), width(|l| l.source.chars().count()));
    for l in &lines {
        println!("{:name$}  {:value$}  {:source$}  {}", l.name, l.value, l.source, l.meaning);
    }
    ExitCode::SUCCESS
}
