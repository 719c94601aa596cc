//! Every unit of the language against `uom`, which reckons in floats of its own.

use aumbry::values::{Dimension, Quantity, Rational, UNITS, Unit};
use uom::si::f64::{Angle, Area, Force, Length, Mass, MassDensity, Pressure, Volume};
use uom::si::{angle, area, force, length, mass, mass_density, pressure, volume};

/// Relative difference allowed: a float of 53 bits goes through a handful of steps.
const CLOSE: f64 = 1e-14;

/// And where `uom` keeps seven digits of the pound and of what hangs on it. The Python checks under
/// tests/external compare the same units in exact fractions.
const SEVEN_DIGITS: f64 = 1e-7;

fn allowed(from: &Unit, to: &Unit) -> f64 {
    let by_the_pound = |unit: &Unit| ["lb", "psi", "lb/ft3"].contains(&unit.name);
    if by_the_pound(from) || by_the_pound(to) { SEVEN_DIGITS } else { CLOSE }
}

/// A function that converts between the units of one quantity; `None` where it has no such unit.
macro_rules! converts {
    ($name:ident, $quantity:ident, $($written:literal => $unit:path),+ $(,)?) => {
        fn $name(value: f64, from: &str, to: &str) -> Option<f64> {
            let quantity = match from {
                $($written => $quantity::new::<$unit>(value),)+
                _ => return None,
            };
            Some(match to {
                $($written => quantity.get::<$unit>(),)+
                _ => return None,
            })
        }
    };
}

converts!(lengths, Length, "mm" => length::millimeter, "cm" => length::centimeter, "m" => length::meter,
    "in" => length::inch, "ft" => length::foot, "yd" => length::yard);
converts!(areas, Area, "mm2" => area::square_millimeter, "cm2" => area::square_centimeter,
    "m2" => area::square_meter);
converts!(volumes, Volume, "mm3" => volume::cubic_millimeter, "cm3" => volume::cubic_centimeter,
    "m3" => volume::cubic_meter, "l" => volume::liter);
converts!(angles, Angle, "deg" => angle::degree, "turn" => angle::revolution);
converts!(masses, Mass, "g" => mass::gram, "kg" => mass::kilogram, "lb" => mass::pound);
converts!(forces, Force, "N" => force::newton, "kN" => force::kilonewton);
converts!(pressures, Pressure, "Pa" => pressure::pascal, "kPa" => pressure::kilopascal,
    "MPa" => pressure::megapascal, "N/mm2" => pressure::newton_per_square_millimeter,
    "psi" => pressure::pound_force_per_square_inch);
converts!(densities, MassDensity, "kg/m3" => mass_density::kilogram_per_cubic_meter,
    "g/cm3" => mass_density::gram_per_cubic_centimeter, "lb/ft3" => mass_density::pound_per_cubic_foot);

fn outside(value: f64, from: &str, to: &str) -> Option<f64> {
    [lengths, areas, volumes, angles, masses, forces, pressures, densities]
        .into_iter()
        .find_map(|convert| convert(value, from, to))
}

fn float(value: Rational) -> f64 {
    value.numerator() as f64 / value.denominator() as f64
}

/// The figure in another unit, exactly, by our own table.
fn inside(value: Rational, from: &str, to: &Unit) -> f64 {
    let quantity = Quantity::written(value, from).unwrap().unwrap();
    assert_eq!(quantity.dimension, to.dimension);
    float(quantity.value.div(Rational::ratio(to.size.0, to.size.1)).unwrap().unwrap())
}

fn near(a: f64, b: f64, relative: f64) -> bool {
    (a - b).abs() <= relative * a.abs().max(b.abs())
}

fn close(a: f64, b: f64) -> bool {
    near(a, b, CLOSE)
}

#[test]
fn every_unit_has_the_size_it_has_outside() {
    let mut pairs = 0;
    for from in UNITS {
        for to in UNITS.iter().filter(|to| to.dimension == from.dimension) {
            let theirs = outside(1.0, from.name, to.name)
                .unwrap_or_else(|| panic!("no outside unit for {} and {}", from.name, to.name));
            let ours = inside(Rational::ONE, from.name, to);
            assert!(
                near(ours, theirs, allowed(from, to)),
                "1 {} in {}: {ours} and {theirs}",
                from.name,
                to.name
            );
            pairs += 1;
        }
    }
    assert!(pairs >= UNITS.len());
    // A degree is compared with a turn, so that it does not stand against itself alone.
    assert!(close(outside(1.0, "turn", "deg").unwrap(), 360.0));
    // The language has no foot and no yard; they hang on its inch (international yard of 1959).
    let inch = UNITS.iter().find(|u| u.name == "in").unwrap();
    assert!(close(outside(1.0, "ft", "mm").unwrap(), 12.0 * inside(Rational::ONE, "in", &UNITS[0])));
    assert!(close(outside(1.0, "yd", "in").unwrap(), inside(Rational::int(36), "in", inch)));
}

#[test]
fn a_thousand_conversions_agree() {
    // A linear congruential generator with the constants of Knuth's MMIX: the same figures every time.
    let mut state = 20_260_u64;
    let mut next = |below: usize| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as usize % below
    };
    for _ in 0..1000 {
        let from = &UNITS[next(UNITS.len())];
        let alike: Vec<&Unit> = UNITS.iter().filter(|u| u.dimension == from.dimension).collect();
        let to = alike[next(alike.len())];
        // Decimals as they are written, and fractions of an inch.
        let denominator = [1000, 10, 64, 16, 3][next(5)];
        let value = Rational::ratio(1 + next(5_000_000) as i128, denominator);
        let ours = inside(value, from.name, to);
        let theirs = outside(float(value), from.name, to.name).unwrap();
        assert!(
            near(ours, theirs, allowed(from, to)),
            "{value:?} {} in {}: {ours}, {theirs}",
            from.name,
            to.name
        );
    }
}

#[test]
fn the_comparison_can_fail() {
    let mm = &UNITS[0];
    assert_eq!((mm.name, mm.dimension), ("mm", Dimension::LENGTH));
    assert!(!close(inside(Rational::ONE, "in", mm), 25.400_000_000_001));
    assert!(!close(inside(Rational::ONE, "in", mm), 25.4 * 1.000_001));
    assert!(close(inside(Rational::ONE, "in", mm), 25.4));
    let kg = UNITS.iter().find(|u| u.name == "kg").unwrap();
    assert!(!near(inside(Rational::ONE, "lb", kg), 0.453_6, SEVEN_DIGITS));
}

#[test]
fn the_pound_is_exact() {
    // 0.45359237 kg: PyPI Pint 0.25.3, default_en.txt (READ), computed by that library in fractions.
    let pound = Quantity::written(Rational::ONE, "lb").unwrap().unwrap();
    assert_eq!(pound.value, Rational::ratio(45_359_237, 100_000_000));
    // 0.35e6 psi = 2413.1650526089265 MPa, 40 lb/ft3 = 640.7385349584056 kg/m3: the same.
    let unit = |name: &str| UNITS.iter().find(|u| u.name == name).unwrap();
    assert!(close(inside(Rational::int(350_000), "psi", unit("MPa")), 2_413.165_052_608_926_5));
    assert!(close(inside(Rational::int(40), "lb/ft3", unit("kg/m3")), 640.738_534_958_405_6));
}
