//! Series lamps against a circuit simulator, worked examples and what must hold for any lamp.
#![expect(clippy::unwrap_used, reason = "a test fails loudly")]

use proptest::prelude::*;

use super::glow::Glow;
use super::operating_point::LampError;
use super::{Lamp, TradeLamp, Transformer, smallest_fitting};
use crate::physics::rectifier::{Diode, Junction, Load, RailSupply, Topology};

const SIMULATED: &str = include_str!("../../../tests/data/lamp.csv");

/// A row of the table: its text and its columns by name.
struct LampRow {
    line: &'static str,
    names: Vec<&'static str>,
}

impl LampRow {
    fn text(&self, name: &str) -> &'static str {
        let at = self.names.iter().position(|other| *other == name).unwrap();
        self.line.split(',').nth(at).unwrap()
    }

    fn number(&self, name: &str) -> f64 {
        self.text(name).parse().unwrap()
    }

    fn lamp(&self) -> Lamp {
        Lamp {
            radiation_exponent: self.number("rad_exp"),
            ..Lamp::general_service(self.number("lamp_w"), self.number("mains_v"))
        }
    }
}

fn rows(kind: &str) -> Vec<LampRow> {
    let mut lines = SIMULATED.lines();
    let names: Vec<&str> = lines.next().unwrap().split(',').collect();
    let rows = lines.map(|line| LampRow { line, names: names.clone() });
    rows.filter(|row| row.text("kind") == kind).collect()
}

/// Relative deviation; behind a short a millivolt stands for nothing.
fn off(got: f64, want: f64) -> f64 {
    if want < 2e-3 { got / 2e-3 - 1.0 } else { (got / want - 1.0).abs() }
}

fn assert_worst(name: &str, tolerance: f64, deviations: impl Iterator<Item = (f64, String)>) {
    let (worst, place) = deviations.max_by(|a, b| a.0.total_cmp(&b.0)).unwrap();
    assert!(worst < tolerance, "{name} is {:.2} % off in {place}", 100.0 * worst);
}

#[test]
fn every_simulated_resistive_load_is_met() {
    let rows = rows("resistor");
    assert_eq!(rows.len(), 34, "resistive rows");
    let settled = |row: &LampRow| {
        row.lamp().with_resistance(row.number("mains_v"), row.number("load_ohm")).unwrap()
    };
    let points: Vec<_> = rows.iter().map(settled).collect();
    let check = |name: &str, of: fn(&super::OperatingPoint) -> f64| {
        let deviations = points.iter().zip(&rows);
        let deviations =
            deviations.map(|(point, row)| (off(of(point), row.number(name)), row.line.to_owned()));
        assert_worst(name, 0.02, deviations);
    };
    check("static_i", |point| point.current_a);
    check("static_unit_v", |point| point.equipment_v);
    check("static_fil_K", |point| point.filament_k);
}

/// The transformer of the simulated rows: 200 VA, 2 x 35 V, 8 % regulation, 26 mA magnetising current at 230 V.
fn on_transformer(row: &LampRow) -> (Transformer, RailSupply) {
    let mains_v = row.number("mains_v");
    let transformer = Transformer {
        primary_v: mains_v,
        primary_ohm: 0.04 * mains_v * mains_v / 200.0,
        magnetising_a: 0.02608 * 230.0 / mains_v,
    };
    let supply = RailSupply {
        topology: Topology::SplitRails,
        secondary_v: 35.0,
        winding_ohm: 0.49,
        mains_hz: row.number("f_hz"),
        diode: Diode::Junction(Junction::ONE_AMP_SILICON),
        reservoir_f: 0.01,
        load: Load::Resistance(row.number("load_ohm")),
    };
    (transformer, supply)
}

#[test]
fn simulated_transformers_without_fault_are_met() {
    let rows: Vec<LampRow> =
        rows("transformer").into_iter().filter(|row| row.text("fault") == "none").collect();
    let points: Vec<_> = rows
        .iter()
        .map(|row| {
            let (transformer, supply) = on_transformer(row);
            row.lamp().with_rectifier(row.number("mains_v"), &transformer, &supply).unwrap()
        })
        .collect();
    let check = |name: &str, tolerance: f64, of: fn(&super::OnTransformer) -> f64| {
        let deviations = points.iter().zip(&rows);
        let deviations =
            deviations.map(|(point, row)| (off(of(point), row.number(name)), row.line.to_owned()));
        assert_worst(name, tolerance, deviations);
    };
    assert_eq!(rows.len(), 12, "sound transformer rows");
    check("rail_p", 0.02, |point| point.rail.average_v);
    check("unit_v_rms", 0.02, |point| point.lamp.equipment_v);
    check("lamp_i_rms", 0.02, |point| point.lamp.current_a);
}

/// A column that the model must meet from the lamp's rating alone.
#[test]
fn ratings_give_the_simulated_cold_and_hot_resistances() {
    for row in rows("resistor") {
        let lamp = row.lamp();
        assert!(off(lamp.hot_ohm(), row.number("hot_ohm")) < 1e-3, "{}", row.line);
        assert!(off(lamp.cold_ohm(), row.number("cold_ohm")) < 1e-3, "{}", row.line);
        // The simulated first cycles heat the filament a little, so the true peak is below the bound.
        let bound = lamp.switch_on_peak_a(row.number("mains_v"));
        assert!(row.number("first2cyc_i_peak") < bound, "{}", row.line);
    }
}

/// The series-limiter table by the trade's law (recomputed): supply, lamp; load in ohms (short, 100, the lamp's own
/// hot resistance, 1000, 5000) with its current and the volts left to it.
#[test]
fn the_trade_law_gives_the_series_limiter_table() {
    let table = [
        (
            230.0,
            40.0,
            [(0.1739, 0.0), (0.1669, 16.69), (0.1047, 138.5), (0.1174, 117.4), (0.0425, 212.3)],
        ),
        (
            230.0,
            60.0,
            [(0.2609, 0.0), (0.2452, 24.52), (0.1571, 138.5), (0.1480, 148.0), (0.0442, 220.9)],
        ),
        (
            230.0,
            100.0,
            [(0.4348, 0.0), (0.3923, 39.23), (0.2619, 138.5), (0.1825, 182.5), (0.0452, 226.2)],
        ),
        (
            120.0,
            60.0,
            [(0.5000, 0.0), (0.4000, 40.00), (0.3011, 72.3), (0.1121, 112.1), (0.0239, 119.5)],
        ),
        (
            120.0,
            100.0,
            [(0.8333, 0.0), (0.5797, 57.97), (0.5019, 72.3), (0.1166, 116.6), (0.0240, 119.8)],
        ),
    ];
    for (supply_v, rated_w, points) in table {
        let lamp = TradeLamp { rated_w, rated_v: supply_v };
        let loads = [0.0, 100.0, lamp.hot_ohm(), 1000.0, 5000.0];
        for (load_ohm, (current, equipment)) in loads.into_iter().zip(points) {
            let lamp_v = lamp.lamp_v(supply_v, load_ohm);
            let what = format!("{supply_v} V, {rated_w} W, {load_ohm} ohm");
            assert!((lamp.current_a(lamp_v) - current).abs() < 6e-5, "{what}: {current} A");
            assert!((supply_v - lamp_v - equipment).abs() < 6e-2, "{what}: {equipment} V");
        }
    }
}

/// 0.5^0.55 and 0.1^0.55, and the share a load equal to the hot resistance takes from any lamp (recomputed).
#[test]
fn the_trade_law_is_scale_free() {
    let lamp = TradeLamp { rated_w: 230.0, rated_v: 230.0 };
    assert!((lamp.current_a(115.0) - 0.68302).abs() < 1e-5);
    assert!((lamp.current_a(23.0) - 0.28184).abs() < 1e-5);
    let equipment_v = 230.0 - lamp.lamp_v(230.0, lamp.hot_ohm());
    assert!((equipment_v / 230.0 - 0.60226).abs() < 1e-5, "{equipment_v}");
}

/// A 28 V 40 mA signal lamp of the #327 class, measured by R. Elliott (quoted in a secondary source): 4.5 mA at 0.5 V,
/// 7.4 mA at 1.39 V, glow above 13 mA, cold 65 ohm. It is a cooler vacuum lamp, with little gas to conduct, so the laws
/// for mains lamps meet it only roughly.
#[test]
fn a_measured_signal_lamp_is_met_roughly() {
    let trade = TradeLamp { rated_w: 28.0 * 0.040, rated_v: 28.0 };
    for (volts, ampere) in [(0.5, 4.5e-3), (1.39, 7.4e-3), (28.0, 40e-3)] {
        assert!(
            off(trade.current_a(volts), ampere) < 0.05,
            "{volts} V: {}",
            trade.current_a(volts)
        );
    }
    let mains = Lamp::general_service(28.0 * 0.040, 28.0);
    let lamp = Lamp { hot_k: 2200.0, conducted_share: 0.05, ..mains };
    assert!(off(lamp.cold_ohm(), 65.0) < 0.10, "{}", lamp.cold_ohm());
    assert!((10e-3..16e-3).contains(&lamp.ampere_at(798.0)), "{}", lamp.ampere_at(798.0));
}

/// A 100 W 120 V lamp is 144 ohm hot and about 9.6 cold (a note in an open-source lamp project); the power law is 3 % above.
#[test]
fn a_hundred_watt_lamp_is_a_fifteenth_cold() {
    let lamp = Lamp::general_service(100.0, 120.0);
    assert!(off(lamp.hot_ohm(), 144.0) < 1e-9);
    assert!(off(lamp.cold_ohm(), 9.6) < 0.03, "{}", lamp.cold_ohm());
}

#[test]
fn glow_follows_the_filament() {
    let seen = [300.0, 797.0, 799.0, 1500.0, 2200.0, 2750.0].map(Glow::at);
    assert_eq!(
        seen,
        [Glow::Dark, Glow::Dark, Glow::Faint, Glow::DimOrange, Glow::Bright, Glow::Full]
    );
    assert_eq!(Glow::at(900.0).to_string(), "faint red, seen only with the lamp shaded");
}

#[test]
fn a_short_lights_the_lamp_fully() {
    let point = Lamp::general_service(60.0, 230.0).with_resistance(230.0, 0.0).unwrap();
    assert_eq!(point.glow, Glow::Full);
    assert!(off(point.current_a, 60.0 / 230.0) < 1e-6 && point.equipment_v < 1e-6, "{point:?}");
}

#[test]
fn a_constant_power_load_settles_dim_or_is_refused() {
    let lamp = Lamp::general_service(60.0, 230.0);
    let point = lamp.with_power(230.0, 10.0).unwrap();
    assert!(off(point.equipment_v * point.current_a, 10.0) < 1e-6, "{point:?}");
    assert!(off(point.equipment_v + point.lamp_v, 230.0) < 1e-9, "{point:?}");
    assert!(point.lamp_v < 10.0, "{point:?}");
    let Err(LampError::TooMuchPower { most_w, .. }) = lamp.with_power(230.0, 100.0) else {
        panic!("a 60 W lamp passes no 100 W");
    };
    assert!(lamp.with_power(230.0, 0.999 * most_w).is_ok());
    assert!(lamp.with_power(230.0, 1.001 * most_w).is_err());
    // No resistance draws more through this lamp than the most it passes.
    for load_ohm in (100..3000).step_by(50).map(f64::from) {
        let point = lamp.with_resistance(230.0, load_ohm).unwrap();
        assert!(point.current_a * point.equipment_v <= most_w * (1.0 + 1e-6), "{load_ohm} ohm");
    }
}

#[test]
fn a_lamp_for_half_the_mains_is_refused_on_a_short() {
    let lamp = Lamp::general_service(60.0, 110.0);
    let error = lamp.with_resistance(240.0, 0.0).unwrap_err();
    assert!(error.to_string().contains("would melt"), "{error}");
    assert!(lamp.with_resistance(240.0, 1e4).is_ok());
}

#[test]
fn values_out_of_range_are_refused_by_name() {
    let lamp = Lamp::general_service(60.0, 230.0);
    let refused = [
        (lamp.with_resistance(f64::NAN, 100.0), "mains voltage"),
        (lamp.with_resistance(230.0, -1.0), "load resistance"),
        (lamp.with_power(230.0, f64::INFINITY), "load power"),
        (Lamp { rated_w: 0.0, ..lamp }.with_power(230.0, 1.0), "rated power"),
        (Lamp { hot_k: 300.0, ..lamp }.with_power(230.0, 1.0), "hot temperature"),
    ];
    for (result, name) in refused {
        let error = result.unwrap_err();
        assert!(error.to_string().contains(name), "{error}");
    }
}

#[test]
fn a_rectifier_that_cannot_be_worked_out_is_refused() {
    let row = rows("transformer").remove(0);
    let (transformer, supply) = on_transformer(&row);
    let with = |supply| row.lamp().with_rectifier(230.0, &transformer, &supply);
    let half_wave = with(RailSupply { topology: Topology::HalfWave, ..supply });
    assert_eq!(half_wave, Err(LampError::HalfWave));
    let without_reservoir = with(RailSupply { reservoir_f: 0.0, ..supply }).unwrap_err();
    assert!(without_reservoir.to_string().contains("reservoir"), "{without_reservoir}");
}

#[test]
fn the_smallest_lamp_that_leaves_the_mains_is_chosen() {
    let lamps = [100.0, 40.0, 200.0, 60.0].map(|watt| Lamp::general_service(watt, 230.0));
    let fitted = |draw_w| smallest_fitting(&lamps, 230.0, draw_w, 0.15).unwrap();
    assert!(off(fitted(5.0).unwrap().0.rated_w, 40.0) < 1e-9);
    assert!(off(fitted(25.0).unwrap().0.rated_w, 60.0) < 1e-9);
    let (large, point) = fitted(60.0).unwrap();
    assert!(off(large.rated_w, 200.0) < 1e-9 && point.lamp_v < 0.15 * 230.0, "{point:?}");
    assert!(fitted(500.0).is_none());
}

fn any_lamp() -> impl Strategy<Value = Lamp> {
    (10.0..300.0_f64, 100.0..250.0_f64, 4.0..5.0_f64, 0.0..0.5_f64).prop_map(
        |(rated_w, rated_v, radiation_exponent, conducted_share)| Lamp {
            radiation_exponent,
            conducted_share,
            ..Lamp::general_service(rated_w, rated_v)
        },
    )
}

proptest! {
    #[test]
    fn current_rises_with_the_volts(lamp in any_lamp(), low in 0.0..1.2_f64, more in 0.01..0.5_f64) {
        let at = |share: f64| lamp.with_resistance(lamp.rated_v * share.max(1e-3), 0.0).unwrap();
        let (low, high) = (at(low), at(low + more));
        prop_assert!(high.current_a > low.current_a, "{low:?} {high:?}");
        prop_assert!(high.filament_k > low.filament_k && high.glow >= low.glow);
    }

    #[test]
    fn a_lamp_settles_between_cold_and_hot(lamp in any_lamp(), load in -2.0..3.0_f64) {
        let load_ohm = lamp.hot_ohm() * 10.0_f64.powf(load);
        let point = lamp.with_resistance(lamp.rated_v, load_ohm).unwrap();
        let lamp_ohm = point.lamp_v / point.current_a;
        prop_assert!(lamp.cold_k() <= point.filament_k && point.filament_k <= lamp.hot_k);
        prop_assert!(lamp.cold_ohm() * 0.999 <= lamp_ohm && lamp_ohm <= lamp.hot_ohm() * 1.001);
        prop_assert!(off(point.lamp_v + point.equipment_v, lamp.rated_v) < 1e-6, "{point:?}");
        let lighter = lamp.with_resistance(lamp.rated_v, load_ohm * 1.5).unwrap();
        prop_assert!(lighter.lamp_v < point.lamp_v);
    }

    /// The trade's law gives 0.60226 of the supply (recomputed); the filament's own balance comes close to it.
    #[test]
    fn the_hot_resistance_takes_the_same_share_of_any_lamp(watt in 10.0..99.0_f64, volts in 100.0..250.0_f64) {
        let lamp = Lamp::general_service(watt, volts);
        let point = lamp.with_resistance(volts, lamp.hot_ohm()).unwrap();
        let trade = TradeLamp { rated_w: watt, rated_v: volts };
        let trade_share = 1.0 - trade.lamp_v(volts, trade.hot_ohm()) / volts;
        prop_assert!((trade_share - 0.60226).abs() < 1e-5, "{trade_share}");
        prop_assert!((point.equipment_v / volts - trade_share).abs() < 0.03, "{point:?}");
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn a_hotter_filament_takes_more_of_everything(
        lamp in any_lamp(),
        kelvin in 301.0..3500.0_f64,
        more in 1.0..100.0_f64,
    ) {
        let figures = |kelvin| {
            [lamp.ohm_at(kelvin), lamp.watt_at(kelvin), lamp.ampere_at(kelvin), lamp.volt_at(kelvin)]
        };
        let (cool, hot) = (figures(kelvin), figures(kelvin + more));
        prop_assert!(cool.iter().zip(&hot).all(|(cool, hot)| cool < hot), "{cool:?} {hot:?}");
        prop_assert!(Glow::at(kelvin) <= Glow::at(kelvin + more));
        prop_assert!(off(lamp.watt_at(lamp.hot_k), lamp.rated_w) < 1e-9 && lamp.watt_at(lamp.cold_k()).abs() < 1e-9);
        prop_assert!(off(lamp.volt_at(lamp.hot_k), lamp.rated_v) < 1e-9);
        prop_assert!(lamp.switch_on_peak_a(lamp.rated_v * 1.1) > lamp.switch_on_peak_a(lamp.rated_v));
        prop_assert!(lamp.switch_on_peak_a(lamp.rated_v) > 2.0_f64.sqrt() * lamp.rated_w / lamp.rated_v);
    }

    #[test]
    fn more_power_asked_for_lights_the_lamp_more(lamp in any_lamp(), share in 0.001..0.2_f64, more in 1.01..1.5_f64) {
        let at = |share: f64| lamp.with_power(lamp.rated_v, share * lamp.rated_w).unwrap();
        let (light, heavy) = (at(share), at(share * more));
        prop_assert!(heavy.lamp_v > light.lamp_v && heavy.equipment_v < light.equipment_v);
        prop_assert!(off(light.equipment_v * light.current_a, share * lamp.rated_w) < 1e-5, "{light:?}");
    }

    #[test]
    fn more_load_behind_a_rectifier_lights_the_lamp_more(
        watt in 25.0..200.0_f64,
        load_a in 0.01..0.3_f64,
        more in 1.05..1.5_f64,
    ) {
        let lamp = Lamp::general_service(watt, 230.0);
        let transformer = Transformer { primary_v: 230.0, primary_ohm: 8.5, magnetising_a: 0.03 };
        let settle = |load_a| {
            let supply = RailSupply {
                topology: Topology::SplitRails,
                secondary_v: 35.0,
                winding_ohm: 0.3,
                mains_hz: 50.0,
                diode: Diode::Junction(Junction::ONE_AMP_SILICON),
                reservoir_f: 10e-3,
                load: Load::Current(load_a),
            };
            lamp.with_rectifier(230.0, &transformer, &supply).unwrap()
        };
        let (light, heavy) = (settle(load_a), settle(load_a * more));
        prop_assert!(heavy.lamp.lamp_v > light.lamp.lamp_v && heavy.rail.average_v < light.rail.average_v);
        prop_assert!(0.0 < light.lamp.lamp_v && light.lamp.equipment_v < 230.0);
    }

    #[test]
    fn no_smaller_lamp_would_have_served(
        watts in prop::collection::vec(10.0..300.0_f64, 1..6),
        draw_w in 1.0..300.0_f64,
        share in 0.02..0.9_f64,
    ) {
        let lamps: Vec<Lamp> = watts.iter().map(|watt| Lamp::general_service(*watt, 230.0)).collect();
        let fits = |lamp: &Lamp| {
            lamp.with_resistance(230.0, 230.0 * 230.0 / draw_w).unwrap().lamp_v <= share * 230.0
        };
        match smallest_fitting(&lamps, 230.0, draw_w, share).unwrap() {
            Some((chosen, point)) => {
                prop_assert!(fits(&chosen) && point.lamp_v <= share * 230.0);
                prop_assert!(lamps.iter().all(|lamp| lamp.rated_w >= chosen.rated_w || !fits(lamp)));
            }
            None => prop_assert!(!lamps.iter().any(fits)),
        }
    }

    #[test]
    fn the_trade_lamp_takes_less_the_more_stands_beside_it(
        rated_w in 10.0..300.0_f64,
        (volts, load) in (0.01..1.2_f64, -2.0..3.0_f64),
        more in 1.01..2.0_f64,
    ) {
        let lamp = TradeLamp { rated_w, rated_v: 230.0 };
        prop_assert!(lamp.current_a(230.0 * volts * more) > lamp.current_a(230.0 * volts));
        let load_ohm = lamp.hot_ohm() * 10.0_f64.powf(load);
        let lamp_v = lamp.lamp_v(230.0, load_ohm);
        prop_assert!(0.0 < lamp_v && lamp_v < 230.0 && off(lamp.lamp_v(230.0, 0.0), 230.0) < 1e-9);
        prop_assert!(lamp.lamp_v(230.0, load_ohm * more) < lamp_v);
    }
}

/// The bundled windows: a rail behind the lamp from 0.85 to 1.1 of the one worked out, and up to twice the lamp's volts.
#[test]
fn bundled_windows_are_wider_than_what_the_two_exponents_differ_by() {
    let transformer = Transformer { primary_v: 230.0, primary_ohm: 8.5, magnetising_a: 0.0 };
    for topology in [Topology::SplitRails, Topology::Bridge] {
        for (watt, ampere) in [(25.0, 0.05), (40.0, 0.1), (60.0, 0.2), (100.0, 0.3), (300.0, 0.5)] {
            let supply = RailSupply {
                topology,
                secondary_v: 31.0,
                winding_ohm: 0.22,
                mains_hz: 50.0,
                diode: Diode::Junction(Junction::ONE_AMP_SILICON),
                reservoir_f: 10e-3,
                load: Load::Current(ampere),
            };
            let lamp = Lamp::general_service(watt, 230.0);
            let settled = |lamp: Lamp| lamp.with_rectifier(230.0, &transformer, &supply).unwrap();
            let (worked_out, measured) = (settled(lamp), settled(lamp.as_measured()));
            let rail = measured.rail.average_v / worked_out.rail.average_v;
            assert!((0.9..1.05).contains(&rail), "{watt} W: {rail}");
            let volts = measured.lamp.lamp_v / worked_out.lamp.lamp_v;
            assert!((0.5..2.0).contains(&volts), "{watt} W: {volts}");
        }
    }
}

/// Pouillet's scale of 1836, as physics texts hand it on (from memory): what a hot body looks like in a dark room, from the
/// first dull red at 525 degrees Celsius to a dazzling white at 1500. The lamp's words agree with it, and sound no warmer.
#[test]
fn the_words_for_a_glow_agree_with_an_old_scale() {
    for (celsius, glow) in [
        (500.0, Glow::Dark),
        (530.0, Glow::Faint),      // red just seen
        (700.0, Glow::Faint),      // dull red
        (900.0, Glow::DimOrange),  // cherry red
        (1100.0, Glow::DimOrange), // deep orange
        (1200.0, Glow::DimOrange), // clear orange
        (1650.0, Glow::Bright),    // beyond a dazzling white
    ] {
        assert_eq!(Glow::at(celsius + 273.15), glow, "{celsius}");
    }
}
