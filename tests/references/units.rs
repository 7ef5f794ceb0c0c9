//! Conversion factors: NIST SP 811 (2008), appendix B.8 and B.9, with the `uom` crate as second witness.

use clampmark::metrology::Unit;
use uom::si::angle::{degree, radian};
use uom::si::f64::{Angle, Length, Pressure, Torque};
use uom::si::length::{centimeter, inch, meter, millimeter};
use uom::si::pressure::{bar, kilopascal, psi};
use uom::si::torque::{kilogram_force_meter, newton_meter, pound_force_foot, pound_force_inch};

#[track_caller]
fn factor(from: Unit, to: Unit) -> f64 {
    from.convert(to, 1.0).expect("units of one quantity")
}

#[track_caller]
fn agree(got: f64, expected: f64, relative: f64) {
    assert!((got / expected - 1.0).abs() <= relative, "{got} is not {expected}");
}

#[test]
fn printed_factors() {
    use Unit::{Bar, Degree, FootPound, Inch, InchPound, Kilopascal, NewtonMetre, Psi, Radian};
    // SP 811 prints seven digits. The pound-force factors and psi second-hand (test files of other libraries that
    // quote B.8); the degree calculated.
    for (from, to, printed) in [
        (InchPound, NewtonMetre, 1.129_848e-1),
        (FootPound, NewtonMetre, 1.355_818),
        (Psi, Kilopascal, 6.894_757),
        (Degree, Radian, 1.745_329e-2),
    ] {
        agree(factor(from, to), printed, 5e-7);
    }
    // Exact by definition, and so marked in the table.
    for (from, to, exact) in [
        (Inch, Unit::Millimetre, 25.4),
        (Unit::KilogramForceCentimetre, NewtonMetre, 0.098_066_5),
        (Bar, Kilopascal, 100.0),
        (Unit::Metre, Unit::Millimetre, 1000.0),
        (Unit::Centimetre, Unit::Millimetre, 10.0),
        (FootPound, InchPound, 12.0),
    ] {
        agree(factor(from, to), exact, 4.0 * f64::EPSILON);
    }
}

#[test]
fn full_precision() {
    // From the exact definitions, calculated with the Python libraries `pint` and `scipy.constants`, which agree.
    for (from, to, full) in [
        (Unit::InchPound, Unit::NewtonMetre, 0.112_984_829_027_616_7),
        (Unit::FootPound, Unit::NewtonMetre, 1.355_817_948_331_400_4),
        (Unit::Psi, Unit::Kilopascal, 6.894_757_293_168_361),
        (Unit::Bar, Unit::Psi, 14.503_773_773_020_923),
        (Unit::Degree, Unit::Radian, 0.017_453_292_519_943_295),
    ] {
        agree(factor(from, to), full, 4.0 * f64::EPSILON);
    }
    for (to, full) in [
        (Unit::InchPound, 8.850_745_791_327),
        (Unit::FootPound, 0.737_562_149_277),
        (Unit::KilogramForceCentimetre, 10.197_162_129_779),
    ] {
        agree(factor(Unit::NewtonMetre, to), full, 1e-12);
    }
}

#[test]
fn torques_of_a_workshop() {
    // Calculated with `scipy.constants`, to the digits given.
    for (newton_metres, inch_pounds) in [
        (4.0, 35.4030),
        (5.0, 44.2537),
        (5.5, 48.6791),
        (6.0, 53.1045),
        (8.0, 70.8060),
        (10.0, 88.5075),
        (12.0, 106.2089),
    ] {
        let got = Unit::NewtonMetre.convert(Unit::InchPound, newton_metres).expect("both are torques");
        assert!((got - inch_pounds).abs() <= 5e-5, "{newton_metres} N·m: {got}");
    }
    for (inch_pounds, newton_metres) in [(40.0, 4.51939), (45.0, 5.08432), (50.0, 5.64924), (60.0, 6.77909)] {
        let got = Unit::InchPound.convert(Unit::NewtonMetre, inch_pounds).expect("both are torques");
        assert!((got - newton_metres).abs() <= 5e-6, "{inch_pounds} in·lb: {got}");
    }
}

#[test]
fn the_uom_crate_agrees() {
    // uom 0.38 builds the pound-force units on the rounded 4.448 222 N, 8.7e-8 above the definition, and psi on the
    // seven printed digits: hence 1e-7 for those.
    let exact = 4.0 * f64::EPSILON;
    let length = |unit| factor(unit, Unit::Millimetre);
    agree(length(Unit::Inch), Length::new::<inch>(1.0).get::<millimeter>(), exact);
    agree(length(Unit::Centimetre), Length::new::<centimeter>(1.0).get::<millimeter>(), exact);
    agree(length(Unit::Metre), Length::new::<meter>(1.0).get::<millimeter>(), exact);
    agree(factor(Unit::Radian, Unit::Degree), Angle::new::<radian>(1.0).get::<degree>(), exact);
    let torque = |unit| factor(unit, Unit::NewtonMetre);
    let kilogram_force_centimetre = Torque::new::<kilogram_force_meter>(0.01).get::<newton_meter>();
    agree(torque(Unit::KilogramForceCentimetre), kilogram_force_centimetre, exact);
    agree(torque(Unit::InchPound), Torque::new::<pound_force_inch>(1.0).get::<newton_meter>(), 1e-7);
    agree(torque(Unit::FootPound), Torque::new::<pound_force_foot>(1.0).get::<newton_meter>(), 1e-7);
    let pressure = |unit| factor(unit, Unit::Kilopascal);
    agree(pressure(Unit::Bar), Pressure::new::<bar>(1.0).get::<kilopascal>(), exact);
    agree(pressure(Unit::Psi), Pressure::new::<psi>(1.0).get::<kilopascal>(), 1e-7);
}
