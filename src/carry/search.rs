//! Every assembly of a box, and the ten that bring the hands nearest to where they should be.
//!
//! In the plane of symmetry take the axes n (forward, square to the steering axis) and u (up it). A grip point is the
//! clamp's centre plus a fixed vector turned by the roll ρ, so the squared distance to a wanted point is
//! k + A·cos ρ + B·sin ρ: one wave. Its least value within the roll's limits is in closed form, at the trough or at
//! the nearer limit, and everything else is counted through. Lengths mm, angles radians.

/// No pile of spacers is taller, mm: the span of `steerer.spacers-below`, and of those above.
pub const TALLEST_PILE: f64 = 80.0;

/// Diameters of bars that differ by less than this, mm, are one: they come as 25.4, 31.8 and 35 (common practice, no
/// source).
const ONE_DIAMETER: f64 = 1.0;

/// A stem as it would be put on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StemOn {
    /// Which of the stems.
    pub stem: usize,
    /// Whether it is turned over against how it is marked.
    pub flipped: bool,
    /// mm.
    pub length: f64,
    /// Radians, + = rising, as put on.
    pub angle: f64,
    /// mm.
    pub clamp_height: f64,
    /// The bar it takes, mm across, if it is known.
    pub takes: Option<f64>,
}

impl StemOn {
    /// Whether it may take a bar, as far as both diameters are known.
    pub fn may_take(&self, bar: &BarOn) -> bool {
        self.takes.zip(bar.across).is_none_or(|(takes, across)| (takes - across).abs() < ONE_DIAMETER)
    }
}

/// A bar by what it does to each hand: at roll 0, along u and n from the clamp's centre, and sideways. Left first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BarOn {
    /// Upwards, along u.
    pub up: [f64; 2],
    /// Forwards, along n.
    pub forward: [f64; 2],
    /// To the left.
    pub left: [f64; 2],
    /// Least and greatest roll.
    pub roll: (f64, f64),
    /// mm across in the stem, if it is known.
    pub across: Option<f64>,
}

/// A pile of spacers.
#[derive(Clone, Debug, PartialEq)]
pub struct Pile {
    /// Its height, mm.
    pub height: f64,
    /// The spacers in it: of all piles of that height, the one with the fewest.
    pub spacers: Vec<f64>,
}

/// Where the hands should be, and the frame that is to bring them there. In n and u from the top of the head tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Task {
    /// Forward.
    pub forward: [f64; 2],
    /// Up the axis.
    pub up: [f64; 2],
    /// To the left.
    pub left: [f64; 2],
    /// Headset cover, mm.
    pub cover: f64,
    /// How high everything between cover and top cap is together, if known, mm.
    pub steerer_left: Option<f64>,
}

impl Task {
    /// What is left of the steerer above a stem on a pile, mm; none if nobody knows how long it is.
    pub fn above(&self, stem: &StemOn, pile: &Pile) -> Option<f64> {
        Some(self.steerer_left? - stem.clamp_height - pile.height)
    }

    /// Whether the steerer holds the whole clamp, and no more stands over it than spacers can fill.
    pub fn holds(&self, stem: &StemOn, pile: &Pile) -> bool {
        self.above(stem, pile).is_none_or(|above| (-1e-6..=TALLEST_PILE + 1e-6).contains(&above))
    }
}

/// One assembly.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Candidate {
    /// Which stem, by its place in the list given.
    pub stem: usize,
    /// Which bar.
    pub bar: usize,
    /// Which pile.
    pub pile: usize,
    /// The roll, radians.
    pub roll: f64,
    /// `√((|ΔG_left|² + |ΔG_right|²)/2)`, mm.
    pub distance: f64,
    /// How many spacers.
    pub spacers: usize,
}

impl Candidate {
    /// Nearer first (to a millionth of a millimetre), then fewer spacers, then less roll, then in the box's order.
    fn rank(&self) -> (u64, usize, u64, [usize; 3]) {
        let nearness = (self.distance * 1e6).round();
        let roll = (self.roll.abs() * 1e9).round();
        // Neither is negative, so the bits of a float are in its own order.
        (nearness.to_bits(), self.spacers, roll.to_bits(), [self.stem, self.bar, self.pile])
    }
}

/// Every height that some of the spacers make, each by the fewest. Heights within the same thousandth of a millimetre
/// are one.
///
/// One spacer after the other is laid on every pile there is. As there are no more heights than thousandths of the
/// tallest pile, a box of ever so many unlike spacers takes no longer than its spacers times those.
pub fn piles(spacers: &[f64]) -> Vec<Pile> {
    let mut known: Vec<Option<Known>> = vec![None; micrometres(TALLEST_PILE) + 1];
    if let Some(ground) = known.first_mut() {
        *ground = Some(Known { height: 0.0, spacers: 0, top: None });
    }
    let mut laid: Vec<Laid> = Vec::new();
    for spacer in that_could_be_piled(spacers) {
        // From the tallest down, so that no pile gets the same spacer twice.
        for place in (0..known.len()).rev() {
            let Some(Some(below)) = known.get(place).copied() else { continue };
            let height = below.height + spacer;
            if height > TALLEST_PILE + 1e-6 {
                continue;
            }
            let taller = micrometres(height);
            let Some(there) = known.get_mut(taller).filter(|_| taller > place) else { continue };
            if there.is_none_or(|there| below.spacers + 1 < there.spacers) {
                *there = Some(Known { height, spacers: below.spacers + 1, top: Some(laid.len()) });
                laid.push(Laid { spacer, on: below.top });
            }
        }
    }
    let pile = |known: Known| Pile { height: known.height, spacers: from_the_ground(&laid, known.top) };
    known.into_iter().flatten().map(pile).collect()
}

/// No more spacers than this are piled where every assembly that is given asks for a pile of its own.
const SOME: usize = 100;

/// The same of the tallest of them alone, where there are very many.
pub fn piles_of_some(spacers: &[f64]) -> Vec<Pile> {
    let some: Vec<f64> = that_could_be_piled(spacers).into_iter().take(SOME).collect();
    piles(&some)
}

/// The fewest spacers known to make a height.
#[derive(Clone, Copy)]
struct Known {
    height: f64,
    spacers: usize,
    /// The last that was laid on it.
    top: Option<usize>,
}

/// A spacer laid on another, or on the ground.
struct Laid {
    spacer: f64,
    on: Option<usize>,
}

fn from_the_ground(laid: &[Laid], top: Option<usize>) -> Vec<f64> {
    let below = |at: &Laid| laid.get(at.on?);
    let mut spacers: Vec<f64> = std::iter::successors(top.and_then(|top| laid.get(top)), |at| below(at))
        .map(|at| at.spacer)
        .collect();
    spacers.reverse();
    spacers
}

/// The spacers that can be in some pile at all, the tallest first: of one height no more than make the tallest pile.
pub fn that_could_be_piled(spacers: &[f64]) -> Vec<f64> {
    let mut falling = spacers.to_vec();
    falling.sort_by(|one, other| other.total_cmp(one));
    let alike = falling.chunk_by(|one, next| one.total_cmp(next).is_eq());
    let of_use = alike.flat_map(|alike| {
        let mut height = 0.0;
        alike.iter().copied().take_while(move |spacer| {
            height += spacer;
            height <= TALLEST_PILE + 1e-6
        })
    });
    of_use.collect()
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a pile is no kilometre high")]
fn micrometres(height: f64) -> usize {
    (height * 1000.0).round().max(0.0) as usize
}

/// The best `most` assemblies, and how many were looked at.
pub fn best(
    task: &Task,
    stems: &[StemOn],
    bars: &[BarOn],
    piles: &[Pile],
    most: usize,
) -> (Vec<Candidate>, usize) {
    let mut best: Vec<Candidate> = Vec::with_capacity(most + 1);
    let mut looked_at = 0;
    for (stem_place, stem) in stems.iter().enumerate() {
        let (sine, cosine) = stem.angle.sin_cos();
        for (pile_place, pile) in piles.iter().enumerate() {
            if !task.holds(stem, pile) {
                continue;
            }
            let forward = stem.length * cosine;
            let up = task.cover + pile.height + stem.clamp_height / 2.0 + stem.length * sine;
            for (bar_place, bar) in bars.iter().enumerate().filter(|(_, bar)| stem.may_take(bar)) {
                looked_at += 1;
                // Of a full list, only what betters its last can enter; a hair more, for the rounding.
                let beyond = best
                    .get(most.saturating_sub(1))
                    .map_or(f64::INFINITY, |worst: &Candidate| worst.distance + 1e-3);
                let Some((roll, distance)) = nearest(task, bar, (forward, up), beyond) else { continue };
                let spacers = pile.spacers.len();
                let found =
                    Candidate { stem: stem_place, bar: bar_place, pile: pile_place, roll, distance, spacers };
                keep(&mut best, found, most);
            }
        }
    }
    (best, looked_at)
}

fn keep(best: &mut Vec<Candidate>, found: Candidate, most: usize) {
    let place = best.partition_point(|one| one.rank() <= found.rank());
    if place < most {
        best.insert(place, found);
        best.truncate(most);
    }
}

/// The roll that brings the hands nearest with the clamp's centre there, and how near; none if no roll at all brings
/// them within `beyond`.
fn nearest(
    task: &Task,
    bar: &BarOn,
    (centre_forward, centre_up): (f64, f64),
    beyond: f64,
) -> Option<(f64, f64)> {
    let (mut constant, mut cosine, mut sine) = (0.0, 0.0, 0.0);
    for hand in 0..2 {
        let (forward, up) = (centre_forward - task.forward[hand], centre_up - task.up[hand]);
        let (p, q) = (bar.up[hand], bar.forward[hand]);
        let aside = bar.left[hand] - task.left[hand];
        // e_fwd = (cos ρ, −sin ρ) and e_up = (sin ρ, cos ρ) in (n, u).
        constant += forward * forward + up * up + p * p + q * q + aside * aside;
        cosine += 2.0 * (forward * q + up * p);
        sine += 2.0 * (forward * p - up * q);
    }
    // The bottom of the wave, without asking where it is.
    if constant - cosine.hypot(sine) > 2.0 * beyond * beyond {
        return None;
    }
    let square = |roll: f64| {
        // Summed from the very differences: the wave's terms are large and would leave noise where they cancel.
        let (sine, cosine) = roll.sin_cos();
        let hands = (0..2).map(|hand| {
            let (p, q) = (bar.up[hand], bar.forward[hand]);
            let forward = centre_forward + q * cosine + p * sine - task.forward[hand];
            let up = centre_up + p * cosine - q * sine - task.up[hand];
            let aside = bar.left[hand] - task.left[hand];
            forward * forward + up * up + aside * aside
        });
        hands.sum::<f64>()
    };
    let (low, high) = bar.roll;
    let trough = (-sine).atan2(-cosine);
    let roll = if (low..=high).contains(&trough) {
        trough
    } else if square(low) <= square(high) {
        low
    } else {
        high
    };
    Some((roll, (square(roll) / 2.0).sqrt()))
}
