//! All English of the pages stands in `src/pages/words/`: none in the templates beside it, nor in the labels of their forms.

use std::path::{Path, PathBuf};
use std::str::FromStr;

use proc_macro2::{Delimiter, Group, TokenStream, TokenTree};

/// Attributes that are read out or shown.
const SPOKEN: [&str; 6] = ["title", "aria-label", "placeholder", "alt", "label", "data-named"];

/// What begins a text that no language changes: a policy for browsers, a command.
const FOR_OTHERS: [&str; 3] = ["default-src", "curl ", "mouldboard "];

/// Literals in a file of Rust that a page would show.
fn shown(source: &str) -> Vec<String> {
    let mut found = Vec::new();
    code(&TokenStream::from_str(source).expect("Rust"), &mut found);
    found
}

fn punct(token: Option<&TokenTree>, sign: char) -> bool {
    matches!(token, Some(TokenTree::Punct(one)) if one.as_char() == sign)
}

fn ident(token: Option<&TokenTree>, name: &str) -> bool {
    matches!(token, Some(TokenTree::Ident(one)) if *one == name)
}

/// What a literal says, without its marks and escapes; nothing of a number or a letter.
fn text(token: &TokenTree) -> Option<String> {
    let TokenTree::Literal(literal) = token else { return None };
    let written = literal.to_string();
    let (_, inside) = written.split_once('"')?;
    let mut letters = inside.trim_end_matches(['"', '#']).chars();
    let mut said = String::new();
    while let Some(letter) = letters.next() {
        let escaped = letter == '\\' && letters.next().is_some();
        said.push(if escaped { ' ' } else { letter });
    }
    Some(said)
}

/// Two letters in a row.
fn says_something(text: &str) -> bool {
    let letters: Vec<bool> = text.chars().map(char::is_alphabetic).collect();
    letters.windows(2).any(|pair| pair == [true, true])
}

/// Two words with a space between them.
fn is_sentence(text: &str) -> bool {
    let words: Vec<&str> = text.split(' ').collect();
    let word = |text: &str| text.chars().all(|c| c.is_alphabetic() || ",.;:'".contains(c)) && says_something(text);
    words.windows(2).any(|pair| pair.iter().all(|text| word(text)))
}

/// Code: its templates; labels of forms; sentences anywhere but in attributes, problems and tests. Single words in it are mostly
/// the contract's own, so they are not told from English here.
fn code(stream: &TokenStream, found: &mut Vec<String>) {
    let tokens: Vec<TokenTree> = stream.clone().into_iter().collect();
    let mut skip_body = false;
    for (n, token) in tokens.iter().enumerate() {
        let before = |back: usize| n.checked_sub(back).and_then(|n| tokens.get(n));
        match token {
            TokenTree::Group(group) if punct(before(1), '#') || (punct(before(2), '#') && punct(before(1), '!')) => {
                skip_body |= group.stream().to_string().replace(' ', "") == "cfg(test)";
            }
            TokenTree::Group(group) if skip_body && group.delimiter() == Delimiter::Brace => skip_body = false,
            TokenTree::Group(group) if punct(before(1), '!') && ident(before(2), "html") => template(group, found),
            TokenTree::Group(_) if ident(before(4), "Problem") || ident(before(1), "failed") => {}
            TokenTree::Group(group) => {
                if ident(before(4), "form") {
                    let label = group.stream().into_iter().next().as_ref().and_then(text);
                    found.extend(label.filter(|label| says_something(label) && !is_sentence(label)));
                }
                code(&group.stream(), found);
            }
            TokenTree::Literal(_) => {
                let said = text(token).filter(|said| is_sentence(said));
                found.extend(said.filter(|said| !FOR_OTHERS.iter().any(|one| said.starts_with(one))));
            }
            TokenTree::Ident(_) | TokenTree::Punct(_) => {}
        }
    }
}

/// A template: its text, and the attributes that are spoken.
fn template(group: &Group, found: &mut Vec<String>) {
    let tokens: Vec<TokenTree> = group.stream().into_iter().collect();
    for (n, token) in tokens.iter().enumerate() {
        let before = |back: usize| n.checked_sub(back).and_then(|n| tokens.get(n));
        let (value, pattern) = (punct(before(1), '='), punct(tokens.get(n + 1), '='));
        let read = !value || SPOKEN.contains(&attribute(&tokens[..n]).as_str());
        match token {
            TokenTree::Literal(_) if read && !pattern => found.extend(text(token).filter(|said| says_something(said))),
            TokenTree::Group(group) if group.delimiter() == Delimiter::Brace => {
                if read && !punct(before(1), '#') && !punct(before(1), '.') {
                    template(group, found);
                }
            }
            TokenTree::Group(group) => code(&group.stream(), found),
            TokenTree::Literal(_) | TokenTree::Ident(_) | TokenTree::Punct(_) => {}
        }
    }
}

/// The name of the attribute whose value comes next: `aria-label` of `… aria-label=`.
fn attribute(before: &[TokenTree]) -> String {
    let mut name = String::new();
    for token in before.iter().rev().skip(1) {
        match token {
            TokenTree::Ident(one) if name.is_empty() || name.starts_with('-') => name.insert_str(0, &one.to_string()),
            TokenTree::Punct(one) if one.as_char() == '-' => name.insert(0, '-'),
            _ => break,
        }
    }
    name
}

/// The files of Rust in a folder and those inside it.
fn files(folder: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder).expect("a folder").map(|entry| entry.expect("an entry").path());
    let mut found: Vec<PathBuf> = Vec::new();
    for path in entries {
        if path.is_dir() {
            found.extend(files(&path));
        } else if path.extension().is_some_and(|end| end == "rs") {
            found.push(path);
        }
    }
    found
}

fn pages() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src/pages")
}

#[test]
fn no_page_has_english_of_its_own() {
    let words = pages().join("words");
    let outside: Vec<PathBuf> = files(&pages()).into_iter().filter(|path| !path.starts_with(&words)).collect();
    assert!(outside.len() > 30, "{outside:?}");
    let all = outside.iter().flat_map(|path| {
        let texts = shown(&std::fs::read_to_string(path).expect("a file"));
        texts.into_iter().map(move |text| format!("{}: {text:?}", path.display()))
    });
    let all: Vec<String> = all.collect();
    assert!(all.is_empty(), "these belong into src/pages/words/:\n{}", all.join("\n"));
}

/// Sentences between the marks of texts in a script; a list of what is picked out of a page is none.
fn told_by_script(source: &str) -> Vec<&str> {
    let lines = source.lines().map(str::trim).filter(|line| !line.starts_with("//"));
    let texts = lines.flat_map(|line| line.split(['"', '`']).skip(1).step_by(2));
    texts.filter(|text| is_sentence(text) && *text != "input, select").collect()
}

#[test]
fn the_script_has_no_english_of_its_own() {
    let read = |path: &str| std::fs::read_to_string(pages().join(path)).expect("a file");
    assert_eq!(told_by_script(&read("look/pages.js")), [] as [&str; 0], "these belong into src/pages/words/script.js");
    assert!(told_by_script(&read("words/script.js")).len() > 5);
}

#[test]
fn a_text_nobody_shows_is_not_kept() {
    let kept = files(&pages().join("words"));
    assert!(kept.len() > 10, "{kept:?}");
    for path in kept {
        let source = std::fs::read_to_string(&path).expect("a file");
        // The compiler tells of what is unused, unless it is told not to.
        assert!(!source.contains("allow(") && !source.contains("expect("), "{}", path.display());
    }
}

#[test]
fn planted_texts_are_found_and_nothing_else() {
    let source = r##"
        //! A page.
        #[utoipa::path(summary = "The page of plants")]
        fn page(n: i64) -> Result<Markup, Problem> {
            let missing = || Problem::not_found("plant of ours", "x");
            let said = format!("planted {n} in all");
            let class = if n > 1 { "many" } else { "one" };
            html! {
                p.quiet #plants title="Planted title" lang="en" class=(class) { "Planted text " (n) " × " }
                a href={ "/pages/plants/" (n) } aria-label={ "Planted label of " (n) } { (words::OPEN) }
                @if class == "many" { "planted branch" } @else { (form::text("Planted", "name", "", true)) }
                @match class { "one" => "planted arm", _ => { (html! { b { "planted inside" } }) } }
                input placeholder="planted hint" name="name" data-then="reload";
            }
        }
        #[cfg(test)]
        mod tests { fn one() { html! { p { "No page" } } } }
    "##;
    assert_eq!(
        shown(source),
        [
            "planted {n} in all",
            "Planted title",
            "Planted text ",
            "Planted label of ",
            "planted branch",
            "Planted",
            "planted arm",
            "planted inside",
            "planted hint",
        ]
    );
}
