//! The rider in the picture, as a page.

use serde::Serialize;

use crate::body::{Body, Brake, Direction, Figure, Lever, Missing, Source, UsedSegment};
use crate::metrology::show;

use super::faults::faults;
use super::screen::{Align, Label, Page, Piece, piece, plain};

/// The result of `body`.
#[derive(Clone, Debug, Serialize)]
#[serde(rename_all = "kebab-case")]
pub struct BodyReport {
    /// `clampmark.body/1`
    pub schema: &'static str,
    /// The setup.
    pub setup: String,
    /// The revision's full hash; null for the working file.
    pub revision: Option<String>,
    /// The point in time as it was named.
    pub label: String,
    /// Why nobody is to ride it, in one line.
    pub headline: Option<String>,
    /// What is at fault in the file, with its place.
    pub findings: Vec<String>,
    /// The rider on the bike.
    #[serde(flatten)]
    pub body: Body,
}

impl BodyReport {
    /// Its schema.
    pub const SCHEMA: &str = "clampmark.body/1";

    /// Fills the page.
    pub fn write(&self, page: &mut Page) {
        page.title(format!("{}, the rider on it ({})", self.setup, self.label));
        faults(page, &self.setup, &self.findings);
        if let Some(headline) = &self.headline {
            page.paragraph(2, 4, &[piece(Label::Danger, headline.clone())]);
            page.blank();
        }
        for odd in &self.body.at_odds {
            let why = " No arm line is to be trusted before both are measured again.";
            page.paragraph(2, 4, &[piece(Label::Care, odd.clone()), plain(why)]);
            page.blank();
        }
        self.arm_line(page);
        self.levers(page);
        if let Some(above) = &self.body.grips_above_saddle {
            page.blank();
            page.paragraph(2, 4, &height(above));
        }
        self.brakes(page);
        self.lengths(page);
        self.missing(page);
        for note in &self.body.notes {
            page.blank();
            page.paragraph(2, 2, &[piece(Label::Quiet, format!("{note} No position is right or wrong."))]);
        }
    }

    fn arm_line(&self, page: &mut Page) {
        if let Some(line) = &self.body.arm_line {
            let slope =
                if line.angle.value < 0.0 { "the hand above the elbow" } else { "the hand below the elbow" };
            page.paragraph(
                2,
                4,
                &[number(&line.angle), plain(format!("  arm line, seated, saddle at full height: {slope}"))],
            );
            page.paragraph(4, 4, &[piece(Label::Quiet, shares(line))]);
        }
        if let Some(why) = &self.body.ruled_out {
            page.paragraph(2, 4, &[plain(format!("No arm line. {why}"))]);
        }
    }

    fn levers(&self, page: &mut Page) {
        for lever in &self.body.levers {
            page.blank();
            lever_against_arm(page, lever);
        }
    }

    fn brakes(&self, page: &mut Page) {
        if self.body.brakes.is_empty() {
            return;
        }
        page.title("Brakes at the finger");
        for brake in &self.body.brakes {
            brake_lines(page, brake);
        }
    }

    fn lengths(&self, page: &mut Page) {
        let rows: Vec<Vec<Piece>> = self.body.segments.iter().filter_map(length_row).collect();
        if rows.is_empty() {
            return;
        }
        page.title("Lengths used");
        page.table(2, &[Align::Right, Align::Left, Align::Left], &rows);
        if let Some(elbow) = &self.body.elbow {
            page.paragraph(2, 4, &[number(elbow), plain("  elbow opening")]);
        }
    }

    fn missing(&self, page: &mut Page) {
        if self.body.missing.is_empty() {
            return;
        }
        page.title("Not known");
        for Missing { title, needs, .. } in &self.body.missing {
            page.paragraph(2, 4, &[plain(format!("The {title} needs {}.", needs.join(", ")))]);
        }
    }
}

fn number(figure: &Figure) -> Piece {
    piece(Label::Number, written(figure, true))
}

/// A number with its uncertainty and unit; `≈` where the uncertainty is a rough account.
fn written(figure: &Figure, uncertain: bool) -> String {
    let (value, expanded) = show::with_uncertainty(figure.value, figure.expanded, 1);
    let unit = match figure.unit {
        "deg" => "°",
        "mm" => " mm",
        _ => "",
    };
    let sign = if figure.rough { "≈" } else { "±" };
    if uncertain { format!("{value} {sign} {expanded}{unit}") } else { format!("{value}{unit}") }
}

fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

fn shares(direction: &Direction) -> String {
    let elbow = percent(direction.share_from_elbow.max(0.0));
    // With every length recorded, stature has no part in it.
    if direction.share_from_estimated_segments <= 0.0 {
        return format!("Of that doubt, {elbow} is how far the elbow is opened.");
    }
    let segments = percent(direction.share_from_estimated_segments);
    format!(
        "Of that doubt, {segments} is lengths estimated from stature and {elbow} how far the elbow is opened."
    )
}

fn lever_against_arm(page: &mut Page, lever: &Lever) {
    let level = written(&lever.level_angle, true);
    let Some(against) = &lever.against_arm else {
        let words = format!("  {} lever, tip below level", lever.side);
        page.paragraph(2, 4, &[piece(Label::Number, level), plain(words)]);
        return;
    };
    let turned = if against.angle.value < 0.0 { "flatter" } else { "steeper" };
    let size = Figure { value: against.angle.value.abs(), ..against.angle.clone() };
    page.paragraph(
        2,
        4,
        &[
            number(&size),
            plain(format!("  {} lever {turned} than the arm line (tip {level} below level)", lever.side)),
        ],
    );
    if let Some(consequence) = lever.consequence {
        page.paragraph(4, 4, &[plain(consequence)]);
    }
}

fn height(above: &Figure) -> Vec<Piece> {
    let size = Figure { value: above.value.abs(), ..above.clone() };
    let way = if above.value < 0.0 { "below" } else { "above" };
    vec![number(&size), plain(format!("  grips {way} the saddle"))]
}

fn brake_lines(page: &mut Page, brake: &Brake) {
    let side = brake.side;
    for refused in &brake.refused {
        page.paragraph(2, 4, &[piece(Label::Care, refused.clone())]);
    }
    if let Some(leverage) = &brake.finger_leverage {
        let words = format!("  {side}: finger's place along the blade, 1 is its very end");
        page.paragraph(2, 4, &[number(leverage), plain(words)]);
    }
    if let Some(bite) = &brake.bite {
        let mut pieces = vec![number(bite), plain(format!("  {side}: bites this far from the grip"))];
        if let Some(travel) = &brake.travel_to_bite {
            pieces.push(plain(format!(", after {} of travel", written(travel, true))));
        }
        if let Some(share) = &brake.bite_share {
            pieces.push(plain(format!(" ({} of the reach left)", percent(share.value))));
        }
        page.paragraph(2, 4, &pieces);
    }
    if let Some(knuckles) = brake.knuckles {
        let room = format!(" (Knuckles taken as {:.0} mm off the grip.)", brake.knuckle_room);
        page.paragraph(4, 4, &[plain(knuckles.sentence()), piece(Label::Quiet, room)]);
    }
}

fn length_row(segment: &UsedSegment) -> Option<Vec<Piece>> {
    let length = segment.length.as_ref()?;
    let source = match (segment.source, segment.share, segment.share_tolerance) {
        (Source::Stature, Some(share), Some(tolerance)) => {
            format!("from stature: {share:.3} ± {tolerance:.3} of it, open survey data")
        }
        _ => "as recorded".to_owned(),
    };
    let source = match &segment.refused {
        Some(refused) => format!("{source}. Not the recorded one: {refused}"),
        None => source,
    };
    Some(vec![number(length), plain(segment.segment), plain(source)])
}
