//! How much faster is a proven minimum than sampling fine enough to guarantee the same?
//!
//! `cargo bench --bench turning` prints both times and their ratio. The sampling is the fairest there is: it
//! asks the same prepared clearance for its value and is as coarse as the guarantee allows. Between samples a
//! clearance can fall by swing × half a step, so 0.01 mm ask for a step of 0.02 mm ÷ swing.

use std::hint::black_box;
use std::time::{Duration, Instant};

use clampmark::geometry::{Axis, Capsule, Clearance, Segment, Vector};

const GAP: f64 = 0.01;
const BIKES: u32 = 200;
const ROUNDS: u32 = 50;

fn main() {
    let bikes: Vec<Clearance> = (0..BIKES).map(bike).collect();
    println!("{BIKES} bicycles, one direction, {GAP} mm");
    // A usual stop, and a bicycle without one. Right-hand levers come back towards the tube when the bars
    // turn right.
    for degrees in [75.0_f64, 180.0] {
        compare(&bikes, degrees);
    }
}

fn compare(bikes: &[Clearance], degrees: f64) {
    let stop = -degrees.to_radians();
    let certified = time(bikes, ROUNDS, |bike| bike.least(0.0, stop, GAP).least);
    let contact = time(bikes, ROUNDS, |bike| bike.first_contact(stop).slope);
    let sampling = time(bikes, 1, |bike| sampled(bike, stop).0);

    let evaluations: usize = bikes.iter().map(|bike| bike.least(0.0, stop, GAP).evaluations).sum();
    let samples: usize = bikes.iter().map(|bike| sampled(bike, stop).1).sum();
    let differences =
        bikes.iter().map(|bike| (bike.least(0.0, stop, GAP).least - sampled(bike, stop).0).abs());
    println!();
    println!("{degrees} degrees");
    println!("certified minimum  {certified:>10.2?}  {:>8} evaluations", evaluations / bikes.len());
    println!("sampling           {sampling:>10.2?}  {:>8} evaluations", samples / bikes.len());
    println!("first contact      {contact:>10.2?}");
    println!("largest difference {:.6} mm", differences.fold(0.0, f64::max));
    println!("ratio              {:.0} times", sampling.as_secs_f64() / certified.as_secs_f64());
}

/// The mean time of one call.
fn time(bikes: &[Clearance], rounds: u32, call: impl Fn(&Clearance) -> f64) -> Duration {
    let started = Instant::now();
    for _ in 0..rounds {
        for bike in bikes {
            black_box(call(black_box(bike)));
        }
    }
    started.elapsed() / (rounds * BIKES)
}

/// The least sample, and how many it took.
fn sampled(clearance: &Clearance, stop: f64) -> (f64, usize) {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "some ten thousands")]
    let steps = (stop.abs() * clearance.swing() / (2.0 * GAP)).ceil() as u32;
    let at = |step| clearance.at(stop * f64::from(step) / f64::from(steps)).value;
    ((0..=steps).map(at).fold(f64::INFINITY, f64::min), steps as usize + 1)
}

/// The bicycles differ in a fixed pattern over the usual range of frames, bars and levers.
fn bike(number: u32) -> Clearance {
    let share = |period: u32| f64::from(number % period) / f64::from(period - 1);
    let head = Vector::new(400.0 + 100.0 * share(7), 0.0, 600.0 + 60.0 * share(5));
    let head_angle = (63.0 + 5.0 * share(11)).to_radians();
    let slope = (10.0 + 30.0 * share(13)).to_radians();
    let axis = Axis { point: head, direction: Vector::new(-head_angle.cos(), 0.0, head_angle.sin()) };
    let start = head - axis.direction.scale(70.0 * share(3));
    let end = start + Vector::new(-slope.cos(), 0.0, -slope.sin()).scale(600.0);
    let lever = Vector::new(80.0 * share(17) - 20.0, -160.0 - 240.0 * share(19), 60.0 - 180.0 * share(23));
    let capsule = Capsule { centreline: Segment::new(start, end), radius: 14.0 + 10.0 * share(4) };
    Clearance::new(head + lever, &axis, capsule)
}
