//! The drawing of `turn`: one line of soundings a control, as a pilot writes depths along a course.
//!
//! Every figure is the least clearance on one piece of the turn, in whole centimetres. It stands on terminals only:
//! what it shows is in the result as numbers.

use unicode_width::UnicodeWidthStr;

use crate::geometry::turning::ControlTurn;

use super::screen::{Label, Page, piece, plain};

/// Draws the controls' clearances over the steering angle, left turn on the left; nothing where the page is too
/// narrow for it.
pub fn draw(page: &mut Page, controls: &[ControlTurn]) {
    let names = controls.iter().map(|control| control.title.width()).max().unwrap_or(0);
    let Some(profile) = controls.first().map(|control| &control.profile) else { return };
    let indent = 2 + names + 2;
    if indent + profile.least.len() > page.width() {
        return;
    }
    page.title("Clearance along the turn, in whole cm");
    let scale = scale(profile.least.len(), profile.to);
    page.raw(vec![plain(" ".repeat(indent)), piece(Label::Quiet, scale)]);
    for control in controls {
        let pad = " ".repeat(indent - 2 - control.title.width());
        let row = soundings(&control.profile.least);
        page.raw(vec![plain(format!("  {}{pad}", control.title)), piece(Label::Number, row)]);
    }
    page.paragraph(2, 2, &[piece(Label::Quiet, "X meets the tube, ' is 10 cm or more.")]);
}

/// One line: left turn first.
fn soundings(least: &[f64]) -> String {
    let sounding = |millimetres: &f64| match *millimetres {
        overlap if overlap <= 0.0 => 'X',
        deep if deep >= 100.0 => '\'',
        near => {
            let tens = (1..=9u8).rev().find(|tens| near >= f64::from(*tens) * 10.0).unwrap_or(0);
            char::from(b'0' + tens)
        }
    };
    least.iter().rev().map(sounding).collect()
}

/// The line above: how far to the left, straight ahead, how far to the right.
fn scale(width: usize, limit: f64) -> String {
    let limit = crate::metrology::show::plain(limit, 0);
    let (left, middle, right) = (format!("left {limit}°"), "straight", format!("{limit}° right"));
    let before = (width / 2).saturating_sub(left.width() + middle.width() / 2);
    let after = width.saturating_sub(left.width() + before + middle.width() + right.width());
    format!("{left}{}{middle}{}{right}", " ".repeat(before), " ".repeat(after))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn soundings_are_whole_centimetres_left_turn_first() {
        // By hand: right turn comes first in the profile and last on the line. 99.9 mm are 9 whole cm, 100 are ten,
        // 9.9 none, and nothing left is a contact.
        assert_eq!(
            soundings(&[-3.0, 0.0, 0.1, 9.9, 10.0, 57.0, 99.9, 100.0, 412.0]),
            "''9510".to_owned() + "0XX"
        );
    }

    #[test]
    fn the_scale_is_as_wide_as_the_line_and_straight_stands_in_its_middle() {
        let scale = scale(50, 75.0);
        assert_eq!(scale.width(), 50);
        assert!(scale.starts_with("left 75°") && scale.ends_with("75° right"));
        // Eight letters about the middle of fifty: from the 22nd place on (counted from 1).
        assert_eq!(scale.chars().collect::<Vec<_>>()[21..29].iter().collect::<String>(), "straight");
    }
}
