//! Fields of forms: each is called by the name the contract gives it (`policy.seconds` is a member of a member,
//! `panels.0.quantity` one of a list), so that the page's script can make the body of a request of them.

use maud::{Markup, html};

use workshop::writing::DecimalSign;

use super::said::Typed;
use super::words::form as words;

/// A line of text.
pub fn text(label: &str, name: &str, value: &str, required: bool) -> Markup {
    html! { label { (label) input name=(name) maxlength="2000" value=[some(value)] required[required] autocomplete="off"; } }
}

/// The id of something new.
pub fn new_id(label: &str) -> Markup {
    html! {
        label { (label)
            input name="id" required maxlength="60" pattern="[A-Za-z0-9][A-Za-z0-9._\\-]*" title=(words::ID_PATTERN) autocomplete="off" autocapitalize="none";
        }
    }
}

/// A whole number.
pub fn count(label: &str, name: &str, value: Option<i64>, least: i64, most: i64, required: bool) -> Markup {
    html! {
        label { (label)
            input name=(name) type="number" inputmode="numeric" step="1" min=(least) max=(most) value=[value] data-kind="number" required[required];
        }
    }
}

/// What is said where a number is not typed as the workshop writes them.
pub const fn typed_so(sign: DecimalSign) -> &'static str {
    match sign {
        DecimalSign::Point => words::DECIMALS[0],
        DecimalSign::Comma => words::DECIMALS[1],
    }
}

/// A number in the unit people type it in, which becomes the contract's own.
pub fn measure(label: &str, name: &str, typed: Typed, value: Option<f64>, required: bool) -> Markup {
    html! {
        label { (words::measured(label, typed.sign))
            input name=(name) inputmode="decimal" autocomplete="off" maxlength="20" pattern=(typed.pattern()) title=(typed_so(typed.decimals)) value=[value.map(|n| typed.write(n))] data-kind="number"
                data-factor=(typed.factor) data-offset=[(typed.offset != 0.0).then_some(typed.offset)] data-whole[typed.whole] required[required];
        }
    }
}

/// A time of day.
pub fn time(label: &str, name: &str, value: &str, required: bool) -> Markup {
    html! { label { (label) input name=(name) type="time" value=[some(value)] required[required]; } }
}

/// A day.
pub fn day(label: &str, name: &str, value: Option<chrono::NaiveDate>, required: bool) -> Markup {
    html! { label { (label) input name=(name) type="date" value=[value] required[required]; } }
}

/// One of several words, each with what people say for it.
pub fn choice(label: &str, name: &str, options: &[(&str, &str)], chosen: &str) -> Markup {
    html! {
        label { (label) select name=(name) { @for (word, said) in options { option value=(word) selected[*word == chosen] { (said) } } } }
    }
}

/// The same of words that are whole numbers to the contract.
pub fn number_chosen(label: &str, name: &str, options: &[(&str, &str)], chosen: &str) -> Markup {
    html! {
        label { (label) select name=(name) data-kind="number" { @for (word, said) in options { option value=(word) selected[*word == chosen] { (said) } } } }
    }
}

/// One of several things by id, or none.
pub fn perhaps(label: &str, name: &str, options: &[(String, String)], required: bool) -> Markup {
    html! {
        label { (label) select name=(name) required[required] {
            option value="" { @if required { (words::CHOOSE) } @else { (words::NONE) } }
            @for (id, said) in options { option value=(id) { (said) } }
        } }
    }
}

fn some(text: &str) -> Option<&str> {
    Some(text).filter(|text| !text.is_empty())
}
