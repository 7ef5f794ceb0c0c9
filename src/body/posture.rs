//! Seated, saddle at full height, hands on the grips: where shoulder and elbow are, in the plane of symmetry.
//!
//! Two triangles: saddle, shoulder, grips; then shoulder, elbow, grips. Lengths mm, axes of ISO 8855 (x forward, z
//! up). The plane of symmetry leaves the width of the shoulders out. Knows nothing of where its lengths come from.

use crate::geometry::cockpit::{degrees, radians};
use crate::metrology::propagate::Number;

/// A point of the plane of symmetry.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Point<N = f64> {
    /// Forward.
    pub x: N,
    /// Up.
    pub z: N,
}

/// The lengths of a body and how far its elbow is opened.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lengths<N = f64> {
    /// Saddle to shoulder.
    pub torso: N,
    /// Shoulder to elbow.
    pub upper_arm: N,
    /// Elbow to the middle of the grip.
    pub forearm: N,
    /// The elbow's opening, degrees: 180 is straight.
    pub elbow: N,
}

impl<N: Number> Lengths<N> {
    /// Shoulder to grip, by the law of cosines: √(ua² + fa² − 2·ua·fa·cos ε).
    pub fn arm(&self) -> N {
        let (upper, fore) = (self.upper_arm, self.forearm);
        (upper * upper + fore * fore - upper * fore * radians(self.elbow).cos() * 2.0).sqrt()
    }
}

/// Where the joints are.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Posture<N = f64> {
    /// The shoulder: the upper of the two points that both lengths reach.
    pub shoulder: Point<N>,
    /// The elbow: the lower of the two.
    pub elbow: Point<N>,
    /// The forearm's slope in degrees, + = hand lower than elbow.
    pub arm_line: N,
}

impl<N: Number> Posture<N> {
    /// The posture between saddle and grips; none if the lengths cannot meet.
    pub fn of(lengths: &Lengths<N>, saddle: Point<N>, grips: Point<N>) -> Option<Self> {
        let arm = lengths.arm();
        let (one, other) = meeting_points(saddle, lengths.torso, grips, arm)?;
        let shoulder = if one.z.re() >= other.z.re() { one } else { other };
        let elbow = elbow(lengths, shoulder, grips);
        let arm_line = degrees((elbow.z - grips.z).atan2(grips.x - elbow.x));
        Some(Posture { shoulder, elbow, arm_line })
    }
}

/// The elbow below the line from hand to shoulder: off it by β at the hand, sin β = ua·sin ε/arm and cos β =
/// (fa − ua·cos ε)/arm. So written it has a derivative where the arm is straight, which two circles that touch have not.
fn elbow<N: Number>(lengths: &Lengths<N>, shoulder: Point<N>, grips: Point<N>) -> Point<N> {
    let (back, up) = (shoulder.x - grips.x, shoulder.z - grips.z);
    let square = back * back + up * up;
    let (sine, cosine) = radians(lengths.elbow).sin_cos();
    let (upper, fore) = (lengths.upper_arm, lengths.forearm);
    let along = fore * (fore - upper * cosine) / square;
    let off = fore * upper * sine / square;
    // Which way is down depends on which of the two is ahead.
    let down = if back.re() <= 0.0 { off } else { -off };
    Point { x: grips.x + back * along - up * down, z: grips.z + up * along + back * down }
}

/// The two points that are `first` from one centre and `second` from the other (intersection of two circles).
fn meeting_points<N: Number>(
    from: Point<N>,
    first: N,
    to: Point<N>,
    second: N,
) -> Option<(Point<N>, Point<N>)> {
    let (across, up) = (to.x - from.x, to.z - from.z);
    let square = across * across + up * up;
    if square.re() <= 0.0 {
        return None;
    }
    // Along the line of centres by a, off it by h, both as shares of the distance.
    let along = (first * first - second * second + square) / (square * 2.0);
    let off_square = first * first / square - along * along;
    // Torso and arm in one line touch in one point, and rounding may put that a hair beyond it.
    if off_square.re() < -1e-12 {
        return None;
    }
    let off = if off_square.re() > 0.0 { off_square.sqrt() } else { N::zero() };
    let foot = Point { x: from.x + across * along, z: from.z + up * along };
    Some((
        Point { x: foot.x - up * off, z: foot.z + across * off },
        Point { x: foot.x + up * off, z: foot.z - across * off },
    ))
}

/// Why no posture is possible.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RuledOut {
    /// Torso and arm together do not span the way from saddle to grips: short by so many mm.
    TooShort(f64),
    /// The torso is longer than the arm and the way to the grips together, by so many mm.
    TorsoTooLong(f64),
    /// The arm is longer than the torso and the way to the grips together, by so many mm.
    ArmTooLong(f64),
}

impl RuledOut {
    /// Which length makes the triangle impossible; none if it is possible.
    pub fn by(lengths: &Lengths, saddle: Point, grips: Point) -> Option<RuledOut> {
        let (torso, arm) = (lengths.torso, lengths.arm());
        let way = (grips.x - saddle.x).hypot(grips.z - saddle.z);
        if torso + arm < way {
            Some(RuledOut::TooShort(way - torso - arm))
        } else if torso > arm + way {
            Some(RuledOut::TorsoTooLong(torso - arm - way))
        } else if arm > torso + way {
            Some(RuledOut::ArmTooLong(arm - torso - way))
        } else {
            None
        }
    }

    /// In one sentence.
    pub fn sentence(self) -> String {
        match self {
            RuledOut::TooShort(by) => format!(
                "Torso and arm together are {by:.0} mm shorter than the way from saddle to grips: seated, \
                 these hands cannot reach with the elbow opened like that."
            ),
            RuledOut::TorsoTooLong(by) => {
                format!("The torso is {by:.0} mm longer than arm and the way from saddle to grips together.")
            }
            RuledOut::ArmTooLong(by) => {
                format!("The arm is {by:.0} mm longer than torso and the way from saddle to grips together.")
            }
        }
    }
}
