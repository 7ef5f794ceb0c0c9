//! What is there and whole: where the nearest cannot be built, those that can.

use super::{OWN, Problem};
use crate::carry::LOOSE;
use crate::carry::parts::damaged;
use crate::carry::search::{self, BarOn, Candidate, StemOn};

impl Problem<'_> {
    /// The best assemblies of parts that are whole and for which there are spacers enough; none if nothing keeps any from
    /// it.
    pub fn best_to_be_built(&self, most: usize) -> Vec<Candidate> {
        if self.task.steerer_left.is_none() && self.parts.damaged.is_empty() {
            return Vec::new();
        }
        let all: f64 = self.spacers.iter().sum();
        // Above and below together the stem's clamp alone says how many it takes.
        let has_enough =
            |stem: &StemOn| self.task.steerer_left.is_none_or(|left| left - stem.clamp_height - all < LOOSE);
        let is_whole_stem = |stem: &StemOn| self.damage("stem", self.stem_names.get(stem.stem)).is_empty();
        let (stem_places, stems): (Vec<usize>, Vec<StemOn>) = (self.stems.iter().copied().enumerate())
            .filter(|(_, stem)| has_enough(stem) && is_whole_stem(stem))
            .unzip();
        let (bar_places, bars): (Vec<usize>, Vec<BarOn>) = (self.bars.iter().copied().enumerate())
            .filter(|(place, _)| self.damage("bar", self.bar_names.get(*place)).is_empty())
            .unzip();
        let (best, _) = search::best(&self.task, &stems, &bars, &self.piles, most);
        let placed = |one: Candidate| {
            Some(Candidate { stem: *stem_places.get(one.stem)?, bar: *bar_places.get(one.bar)?, ..one })
        };
        best.into_iter().filter_map(placed).collect()
    }

    /// The damage that the box tells of on the parts of an assembly.
    pub fn damaged(&self, candidate: &Candidate) -> Vec<String> {
        let stem = self.stems.get(candidate.stem).and_then(|stem| self.stem_names.get(stem.stem));
        let mut damage = self.damage("stem", stem);
        let of_the_bar = self.damage("bar", self.bar_names.get(candidate.bar));
        damage.extend(of_the_bar.into_iter().filter(|words| !damage.contains(words)).collect::<Vec<_>>());
        // The spacers are the box's own where nothing else of the assembly is.
        if damage.is_empty() && self.is_own_throughout(candidate) {
            damage = damaged::of_the_whole(&self.parts);
        }
        damage
    }

    /// Whether stem and bar are the bike's own.
    fn is_own_throughout(&self, candidate: &Candidate) -> bool {
        let stem = self.stems.get(candidate.stem).and_then(|stem| self.stem_names.get(stem.stem));
        let bar = self.bar_names.get(candidate.bar);
        stem.into_iter().chain(bar).all(|name| name == OWN)
    }

    /// What the box tells of one of its parts; of the bike's own its file tells.
    fn damage(&self, kind: &str, name: Option<&String>) -> Vec<String> {
        let in_box = name.filter(|name| *name != OWN);
        in_box.map(|name| damaged::on(&self.parts, kind, name)).unwrap_or_default()
    }
}
