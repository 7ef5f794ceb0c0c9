//! THE TABLE of measures. Everything else in the program that knows a measure knows it from here.
//!
//! Spans, tolerances and weights are common practice, no source, unless a row says otherwise.

use super::caution;
use super::measure::Gravity::{NoseUp, TipDown};
use super::measure::Measure;
use super::measure::Weight::{Comfort, Handling, Record, SteeringAndBrakes};

/// A row of the table, by its place in it. The constants of this module name the standard ones.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Row(pub u16);

impl Row {
    /// Its place in the table.
    pub fn index(self) -> usize {
        usize::from(self.0)
    }
}

macro_rules! table {
    ($($name:ident = $row:expr;)*) => {
        #[allow(non_camel_case_types, clippy::upper_case_acronyms)]
        enum Place { $($name),* }
        $(
            #[doc = concat!("`", stringify!($row), "`")]
            pub const $name: Row = Row(Place::$name as u16);
        )*
        /// The standard rows, in the order a person walks round the bike.
        pub static ROWS: &[Measure] = &[$($row),*];
    };
}

/// Where a control's lowest point is read from.
const LOWEST_FROM_TIP: &str =
    "With the bars straight, from the bar's end along the bar to above the control's lowest point.";
const LOWEST_DROP: &str = "From the bar's centreline straight down to the control's lowest point.";
const LOWEST_AHEAD: &str = "From the bar's centreline straight forward to the control's lowest point.";
const OWN_CLAMP: &str = "Along the bar from its end to the clamp's outboard face.";
const CONTROL_ANGLE: &str = "Bars straight: how far its lever's tip lies below level.";
const HINT_MOUNT: &str = "`own` clamp on the bar, or `shared` with the brake lever's clamp.";
const HINT_SLOT: &str =
    "Which hole or slot of the shared clamp: `inner`, `outer`, or its number counted from inboard.";
const SLOTS: &[&str] = &["inner", "middle", "outer", "1", "2", "3", "4", "5"];
/// How the table calls a control's own clamp on the bar.
pub const OWN: &str = "own";
/// How it calls the brake lever's clamp, where a control sits on that.
pub const SHARED: &str = "shared";
const MOUNTS: &[&str] = &[OWN, SHARED];
/// The material that has rules of its own.
pub const CARBON: &str = "carbon";
const MATERIALS: &[&str] = &["aluminium", CARBON, "titanium", "steel"];
const SIDES: &[&str] = &["left", "right"];

const fn lowest(path: &'static str, title: &'static str, how: &'static str, low: f64, high: f64) -> Measure {
    Measure::length(path, low, high, 2.0).clamped(Record).going_along().property().says(title, how)
}
const fn lowest_from_tip(path: &'static str) -> Measure {
    lowest(path, "lowest point along the bar", LOWEST_FROM_TIP, 0.0, 400.0)
        .moves("inboard", "outboard")
        .such_as("196")
}
const fn lowest_drop(path: &'static str) -> Measure {
    lowest(path, "lowest point below the bar", LOWEST_DROP, -50.0, 200.0)
        .moves("lower", "higher")
        .such_as("38")
}
const fn lowest_ahead(path: &'static str) -> Measure {
    lowest(path, "lowest point ahead of the bar", LOWEST_AHEAD, -100.0, 200.0)
        .moves("forward", "backward")
        .such_as("44")
}
const fn place(path: &'static str, title: &'static str) -> Measure {
    Measure::length(path, 60.0, 350.0, 0.5)
        .clamped(Handling)
        .says(title, OWN_CLAMP)
        .moves("inboard", "outboard")
        .such_as("190")
}
const fn tilt(path: &'static str, title: &'static str) -> Measure {
    Measure::angle(path, -90.0, 180.0, 1.0)
        .clamped(Handling)
        .against_gravity(TipDown)
        .says(title, CONTROL_ANGLE)
        .moves("tip down", "tip up")
        .by("angle-gauge")
        .such_as("20")
}
const fn mount(path: &'static str, title: &'static str) -> Measure {
    Measure::choice(path, MOUNTS).adjusted(Handling).says(title, HINT_MOUNT).such_as(OWN)
}
const fn slot(path: &'static str, title: &'static str) -> Measure {
    Measure::choice(path, SLOTS).property().clamped(Handling).says(title, HINT_SLOT).such_as("inner")
}
const fn hose_end(path: &'static str, title: &'static str, how: &'static str) -> Measure {
    Measure::length(path, -300.0, 400.0, 3.0).property().says(title, how)
}

/// Hardly a floor or a car park slopes by more than this many degrees: common practice, no source.
const FLOOR_OF_A_ROOM: f64 = 5.0;

table! {
    RIDER_STATURE = Measure::length("rider.stature", 1000.0, 2300.0, 5.0)
        .says("stature", "Barefoot, back to a wall, floor to the top of the head.").moves("taller", "shorter").such_as("1780");
    RIDER_TORSO = Measure::length("rider.torso", 350.0, 800.0, 5.0)
        .says("torso", "Seated upright: from the seat to the point of the shoulder.").such_as("605");
    RIDER_UPPER_ARM = Measure::length("rider.upper-arm", 200.0, 500.0, 5.0)
        .says("upper arm", "From the point of the shoulder to the elbow.").such_as("340");
    RIDER_FOREARM = Measure::length("rider.forearm", 250.0, 600.0, 5.0)
        .says("forearm", "From the elbow to the middle of a rod gripped in the hand.").such_as("350");
    RIDER_KNEE = Measure::length("rider.knee", 0.0, 700.0, 10.0)
        .says("knee ahead of the bottom bracket", "Standing on the pedals as on a climb, bars straight: level, from above the bottom-bracket centre forward to the front of the knee where it comes furthest.")
        .moves("further forward", "further back").such_as("420");
    RIDER_FRONT_BRAKE = Measure::choice("rider.front-brake", SIDES).adjusted(SteeringAndBrakes).brakes().warns(caution::BRAKE_SIDE)
        .says("front brake hand", "Which hand pulls the front brake.").such_as("right");
    FLOOR = Measure::angle("floor", -15.0, 15.0, 0.2)
        .says("slope of the floor", "Gauge on the ground along the bike between the wheels: positive when the front wheel stands higher.")
        .doubted_beyond(FLOOR_OF_A_ROOM).moves("front wheel higher", "front wheel lower").by("angle-gauge").such_as("0.0");
    FRAME_REACH = Measure::length("frame.reach", 300.0, 650.0, 1.0)
        .says("frame reach", "Level, from above the bottom-bracket centre to the top of the head tube; the maker's sheet gives it.").by("sheet").such_as("470");
    FRAME_STACK = Measure::length("frame.stack", 400.0, 800.0, 1.0)
        .says("frame stack", "Straight up, from the bottom-bracket centre to the top of the head tube; the maker's sheet gives it.")
        .moves("taller", "shorter").by("sheet").such_as("630");
    FRAME_HEAD_ANGLE = Measure::angle("frame.head-angle", 55.0, 80.0, 0.3)
        .says("head angle", "Steering axis from the horizontal, bike on its wheels on level ground; the maker's sheet gives it.").moves("steeper", "slacker").by("sheet").such_as("64.5");
    FRAME_STEERING_STOP = Measure::angle("frame.steering-stop", 30.0, 180.0, 2.0)
        .says("steering stop", "How far the bars turn from straight before the frame stops them; leave out if they spin right round.").moves("wider", "narrower").such_as("75");
    FRAME_MATERIAL = Measure::choice("frame.material", MATERIALS)
        .says("frame material", "What the top tube is made of.").such_as("aluminium");
    TOP_TUBE_DROP = Measure::length("frame.top-tube.drop", 0.0, 150.0, 2.0)
        .says("top tube drop", "Along the head tube from its top to where the top tube's centreline meets it.").such_as("38");
    TOP_TUBE_SLOPE = Measure::angle("frame.top-tube.slope", -20.0, 60.0, 1.0)
        .says("top tube slope", "How far the top tube falls towards the rear, from level.").by("angle-gauge").such_as("32");
    TOP_TUBE_DIAMETER = Measure::length("frame.top-tube.diameter", 20.0, 90.0, 1.0)
        .says("top tube diameter", "Across the tube where the controls would meet it.").moves("thicker", "thinner").by("caliper").such_as("42");
    FRAME_WHEEL_RADIUS = Measure::length("frame.wheel-radius", 200.0, 400.0, 2.0)
        .says("wheel radius", "Floor to the middle of the front axle, tyre at riding pressure.").such_as("371");
    FRAME_FORK_OFFSET = Measure::length("frame.fork-offset", 0.0, 90.0, 1.0)
        .says("fork offset", "The maker's figure: front axle ahead of the steering axis.").by("sheet").such_as("44");
    HEADSET_COVER = Measure::length("headset.cover", 0.0, 60.0, 0.5).held("stem-steerer", Record).of_the_part().absent_counts(0.0)
        .says("headset cover", "Height of the cover above the head tube, under the first spacer.").moves("taller", "lower").by("caliper").such_as("9");
    SPACERS_BELOW = Measure::length("steerer.spacers-below", 0.0, 80.0, 0.5).held("stem-steerer", Handling).refitted().absent_counts(0.0)
        .says("spacers below the stem", "All spacers between the cover and the stem, added up.").moves("more", "fewer").by("caliper").such_as("15");
    SPACERS_ABOVE = Measure::length("steerer.spacers-above", 0.0, 80.0, 0.5).held("stem-steerer", Handling).refitted().absent_counts(0.0)
        .says("spacers above the stem", "All spacers between the stem and the top cap, added up.").moves("more", "fewer").by("caliper").such_as("5");
    STEERER_DIAMETER = Measure::length("steerer.diameter", 20.0, 45.0, 0.1).absent_counts(28.6)
        .says("steerer diameter", "Across the steerer under the stem.").moves("thicker", "thinner").by("caliper").such_as("28.6");
    STEM_LENGTH = Measure::length("stem.length", 0.0, 150.0, 0.5).held("stem-steerer", Handling).of_the_part()
        .says("stem length", "Steerer centre to bar centre, along the stem.").by("caliper").such_as("50");
    STEM_ANGLE = Measure::angle("stem.angle", -45.0, 45.0, 0.5).held("stem-steerer", Handling).of_the_part()
        .says("stem angle", "From square to the steerer: positive rises; a flipped stem changes the sign.").moves("rising", "falling").such_as("0");
    STEM_CLAMP_HEIGHT = Measure::length("stem.clamp-height", 20.0, 80.0, 0.5).held("stem-steerer", Handling).of_the_part()
        .says("stem clamp height", "Height of the stem's clamp along the steerer.").moves("taller", "lower").by("caliper").such_as("40");
    STEM_TWIST = Measure::angle("stem.twist", -20.0, 20.0, 0.5).held("stem-steerer", SteeringAndBrakes).absent_counts(0.0)
        .says("stem twist", "Sight along the front wheel: 0 is square, positive when the bar is turned left of the wheel.").moves("to the left", "to the right").such_as("0");
    STEM_SUPPLIED_LENGTH = Measure::length("stem.supplied-length", 0.0, 150.0, 0.5)
        .says("supplied stem length", "The stem the bike was sold with.").such_as("50");
    BAR_WIDTH = Measure::length("bar.width", 350.0, 1000.0, 1.0).cut(Handling).bounded_by("ISO 4210-2, 4.7.1")
        .says("bar width", "End to end, without bar plugs or grip ends.").moves("wider", "narrower").such_as("780");
    BAR_SUPPLIED_WIDTH = Measure::length("bar.supplied-width", 350.0, 1000.0, 1.0)
        .says("supplied bar width", "The width before it was cut; the maker's rise and setback belong to it.").moves("wider", "narrower").such_as("800");
    BAR_RISE = Measure::length("bar.rise", -60.0, 150.0, 1.0).of_the_part()
        .says("bar rise", "The maker's figure: bar ends above the clamp's centre.").moves("higher", "lower").such_as("25");
    BAR_BACK_SWEEP = Measure::angle("bar.back-sweep", -5.0, 45.0, 0.5).of_the_part()
        .says("back sweep", "The maker's figure: seen from above, how far the ends point back.").moves("more swept", "less swept").by("sheet").such_as("8");
    BAR_UP_SWEEP = Measure::angle("bar.up-sweep", -15.0, 20.0, 0.5).of_the_part()
        .says("up sweep", "The maker's figure: seen from the front, how far the ends point up.").moves("more swept", "less swept").by("sheet").such_as("5");
    BAR_SETBACK = Measure::length("bar.setback", -50.0, 200.0, 1.0).of_the_part()
        .says("bar setback", "Bar ends behind the clamp's centre, rise upright; left out if `bend` is given.").moves("further back", "further forward").such_as("40");
    BAR_BEND = Measure::length("bar.bend", 20.0, 300.0, 5.0).of_the_part()
        .says("bend", "From the bar's middle to where the straight outer part would begin.").moves("further out", "further in").such_as("90");
    BAR_ROLL = Measure::angle("bar.roll", -45.0, 45.0, 0.5).held("stem-face", Handling).absent_counts(0.0)
        .says("bar roll", "How far the bar is rolled in the stem: 0 has the rise parallel to the steerer, positive is rolled forward.").moves("forward", "backward").by("angle-gauge").such_as("0");
    BAR_OFFSET = Measure::length("bar.offset", -30.0, 30.0, 0.5).held("stem-face", Handling).absent_counts(0.0)
        .says("bar offset", "How far the bar's middle stands off the stem's: positive to the rider's left.").moves("to the left", "to the right").such_as("0");
    BAR_CLAMP_DIAMETER = Measure::length("bar.clamp-diameter", 20.0, 40.0, 0.1).of_the_part()
        .says("bar clamp diameter", "Across the bar in the stem.").moves("thicker", "thinner").by("caliper").such_as("35.0");
    BAR_GRIP_DIAMETER = Measure::length("bar.grip-diameter", 20.0, 40.0, 0.1).of_the_part().absent_counts(22.2)
        .says("bar diameter at the levers", "Across the bar where the levers sit.").moves("thicker", "thinner").by("caliper").such_as("22.2");
    BAR_MATERIAL = Measure::choice("bar.material", MATERIALS).of_the_part().weighs(SteeringAndBrakes).warns(caution::CARBON)
        .says("bar material", "What the bar is made of; carbon has rules of its own.").such_as("aluminium");
    COMPUTER_BEHIND_BAR = Measure::length("computer.behind-bar", -150.0, 150.0, 1.0).adjusted(Comfort)
        .says("computer's rear edge behind the bar", "Along the stem, from the bar's middle back to the computer's rear edge; below nothing if it ends ahead of the bar.")
        .moves("back", "forward").such_as("45");
    SADDLE_HEIGHT = Measure::length("saddle.height", 400.0, 1000.0, 1.0).held("seat-clamp", Comfort)
        .says("saddle height", "Straight from the bottom-bracket centre to the middle of the saddle's top, post fully up.").moves("up", "down").such_as("742");
    SADDLE_SETBACK = Measure::length("saddle.setback", -50.0, 400.0, 2.0).held("saddle-rails", Comfort)
        .says("saddle setback", "Level, from above the bottom bracket back to the middle of the saddle's top.").moves("back", "forward").such_as("168");
    SADDLE_TILT = Measure::angle("saddle.tilt", -30.0, 30.0, 0.3).held("saddle-rails", Comfort).against_gravity(NoseUp)
        .says("saddle tilt", "A straight edge along the saddle: positive with the nose up.").moves("nose up", "nose down").by("angle-gauge").such_as("-1.0");
    GRIP_LENGTH = Measure::length("SIDE.grip.length", 60.0, 180.0, 1.0).held("SIDE.grip", Comfort).of_the_part()
        .says("grip length", "Along the bar, end to inner collar.").such_as("134");
    GRIP_HAND = Measure::length("SIDE.grip.hand", 10.0, 180.0, 1.0).held("SIDE.grip", Comfort)
        .says("middle of the hand", "Hold as you ride: from the bar's end along the bar to the middle of the hand.").moves("inboard", "outboard").such_as("62");
    LEVER_FROM_TIP = Measure::length("SIDE.brake-lever.from-tip", 60.0, 350.0, 0.5).held("SIDE.brake-lever", SteeringAndBrakes).brakes()
        .says("brake lever place", OWN_CLAMP).moves("inboard", "outboard").such_as("168");
    LEVER_ANGLE = Measure::angle("SIDE.brake-lever.angle", -30.0, 90.0, 0.5).held("SIDE.brake-lever", SteeringAndBrakes).brakes().against_gravity(TipDown)
        .says("brake lever angle", "Bars straight, gauge along the blade: how far its tip lies below level.").moves("tip down", "tip up").by("angle-gauge").such_as("32");
    LEVER_REACH = Measure::length("SIDE.brake-lever.reach", 20.0, 120.0, 0.5).adjusted(SteeringAndBrakes).brakes()
        .says("brake lever reach", "Blade at rest to the grip's surface, where the finger pulls.").moves("further out", "nearer the grip").by("caliper").such_as("62");
    LEVER_BITE = Measure::length("SIDE.brake-lever.bite", 0.0, 120.0, 1.0).adjusted(SteeringAndBrakes).brakes()
        .says("brake bite", "Pull gently until the pads start to hold: blade to the grip's surface.").moves("further out", "nearer the grip").such_as("34").warns_of_less(caution::BITE);
    LEVER_BLADE = Measure::length("SIDE.brake-lever.blade", 30.0, 130.0, 1.0)
        .says("brake lever blade", "Pivot to the blade's end.").by("caliper").such_as("74");
    LEVER_FINGER = Measure::length("SIDE.brake-lever.finger", 30.0, 130.0, 1.0)
        .says("finger on the blade", "Pivot to where the finger pulls.").moves("further out", "further in").by("caliper").such_as("66");
    LEVER_LOWEST_FROM_TIP = lowest_from_tip("SIDE.brake-lever.lowest.N.from-tip").held("SIDE.brake-lever", Record);
    LEVER_LOWEST_DROP = lowest_drop("SIDE.brake-lever.lowest.N.drop").held("SIDE.brake-lever", Record);
    LEVER_LOWEST_AHEAD = lowest_ahead("SIDE.brake-lever.lowest.N.ahead").held("SIDE.brake-lever", Record);
    SHIFTER_MOUNT = mount("SIDE.shifter.mount", "shifter mount");
    SHIFTER_SLOT = slot("SIDE.shifter.mount.slot", "shifter slot");
    SHIFTER_FROM_TIP = place("SIDE.shifter.from-tip", "shifter place");
    SHIFTER_ANGLE = tilt("SIDE.shifter.angle", "shifter angle");
    SHIFTER_LOWEST_FROM_TIP = lowest_from_tip("SIDE.shifter.lowest.N.from-tip");
    SHIFTER_LOWEST_DROP = lowest_drop("SIDE.shifter.lowest.N.drop");
    SHIFTER_LOWEST_AHEAD = lowest_ahead("SIDE.shifter.lowest.N.ahead");
    DROPPER_MOUNT = mount("SIDE.dropper-remote.mount", "dropper remote mount");
    DROPPER_SLOT = slot("SIDE.dropper-remote.mount.slot", "dropper remote slot");
    DROPPER_FROM_TIP = place("SIDE.dropper-remote.from-tip", "dropper remote place");
    DROPPER_ANGLE = tilt("SIDE.dropper-remote.angle", "dropper remote angle");
    DROPPER_LOWEST_FROM_TIP = lowest_from_tip("SIDE.dropper-remote.lowest.N.from-tip");
    DROPPER_LOWEST_DROP = lowest_drop("SIDE.dropper-remote.lowest.N.drop");
    DROPPER_LOWEST_AHEAD = lowest_ahead("SIDE.dropper-remote.lowest.N.ahead");
    LOCKOUT_MOUNT = mount("SIDE.lockout.mount", "lockout mount");
    LOCKOUT_SLOT = slot("SIDE.lockout.mount.slot", "lockout slot");
    LOCKOUT_FROM_TIP = place("SIDE.lockout.from-tip", "lockout place");
    LOCKOUT_ANGLE = tilt("SIDE.lockout.angle", "lockout angle");
    LOCKOUT_LOWEST_FROM_TIP = lowest_from_tip("SIDE.lockout.lowest.N.from-tip");
    LOCKOUT_LOWEST_DROP = lowest_drop("SIDE.lockout.lowest.N.drop");
    LOCKOUT_LOWEST_AHEAD = lowest_ahead("SIDE.lockout.lowest.N.ahead");
    HOSE_FREE = Measure::length("hose.NAME.free", 50.0, 2000.0, 3.0).cut(Handling)
        .says("free length", "Along the hose from where it leaves the control to where the frame or fork holds it.").such_as("420");
    HOSE_BEND_RADIUS = Measure::length("hose.NAME.bend-radius", 5.0, 200.0, 3.0).weighs(Handling)
        .says("smallest bend allowed", "The maker's figure for the tightest bend.").moves("wider", "tighter").such_as("40");
    HOSE_LEAVES_SIDE = Measure::choice("hose.NAME.leaves.side", SIDES).property()
        .says("exit side", "The side of the control that the hose leaves.").such_as("left");
    HOSE_LEAVES_FROM_TIP = hose_end("hose.NAME.leaves.from-tip", "exit along the bar", "Along the bar from its end.").going_along().such_as("215");
    HOSE_LEAVES_AHEAD = hose_end("hose.NAME.leaves.ahead", "exit ahead of the bar", "Straight forward of the bar's centreline.").going_along().such_as("30");
    HOSE_LEAVES_UP = hose_end("hose.NAME.leaves.up", "exit above the bar", "Straight up from the bar's centreline.").going_along().such_as("-5");
    HOSE_ENTERS_ON = Measure::choice("hose.NAME.enters.on", &["frame", "fork"]).property()
        .says("far end", "`fork` when the far end turns with the bars; the frame otherwise.").such_as("frame");
    HOSE_ENTERS_SIDE = Measure::choice("hose.NAME.enters.side", SIDES).property()
        .says("entry side", "The side of the head tube on which the frame takes the hose.").such_as("left");
    HOSE_ENTERS_DOWN = hose_end("hose.NAME.enters.down", "entry down the head tube", "Along the head tube from its top.").such_as("55");
    HOSE_ENTERS_BACK = hose_end("hose.NAME.enters.back", "entry behind the steering axis", "Square back from the steering axis.").such_as("25");
    HOSE_ENTERS_OUT = hose_end("hose.NAME.enters.out", "entry out to the side", "Sideways from the frame's middle.").such_as("22");
    FORK_PRESSURE = Measure::pressure("fork.pressure", 0.0, 400.0, 1.0).says("fork pressure", "Fork unloaded, pump on, read at rest.").such_as("88");
    FORK_REBOUND = Measure::clicks("fork.rebound", 60.0).says("fork rebound", "Clicks from fully closed.").such_as("7");
    FORK_COMPRESSION = Measure::clicks("fork.compression", 60.0).says("fork compression", "Clicks from fully closed.").such_as("4");
    SHOCK_PRESSURE = Measure::pressure("shock.pressure", 0.0, 400.0, 1.0).says("shock pressure", "Shock unloaded, pump on, read at rest.").such_as("174");
    SHOCK_REBOUND = Measure::clicks("shock.rebound", 60.0).says("shock rebound", "Clicks from fully closed.").such_as("5");
    SHOCK_COMPRESSION = Measure::clicks("shock.compression", 60.0).says("shock compression", "Clicks from fully closed.").such_as("3");
    TYRES_FRONT = Measure::pressure("tyres.front", 3.0, 120.0, 0.5).says("front tyre", "Cold, wheel off the ground.").such_as("23");
    TYRES_REAR = Measure::pressure("tyres.rear", 3.0, 120.0, 0.5).says("rear tyre", "Cold, wheel off the ground.").such_as("26");
}
