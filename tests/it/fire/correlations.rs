//! Correlations and statistics against general packages.

use burnday::calc::fire::detect::{Place, heat_for_rise};
use burnday::calc::fire::flashover::{Thresholds, layer_rise, mccaffrey, thomas, ventilation_limit};
use burnday::calc::fire::radiation::{corner_view, point_source};
use burnday::calc::fire::room::{Lining, Opening, Room};
use burnday::calc::fire::sampling::{normal, quantile, rank_correlation, sort};
use burnday::calc::fire::{STEFAN_BOLTZMANN, black_body};
use serde_json::Value;

const CORRELATIONS: &str = include_str!("../../reference/fire_correlations.json");

/// One of our functions, by the inputs of a case.
type Ours<'a> = &'a dyn Fn(&[f64]) -> f64;

/// Twelve functions of the package `ofire`, 40 cases each.
#[test]
fn correlations_agree_with_ofire() {
    let all: Value = serde_json::from_str(CORRELATIONS).unwrap();
    let room = |surface: f64, lining: Lining| {
        // A room with this much surface besides its opening.
        let side = (surface / 6.0).sqrt();
        let opening = Opening { width: 0.0, sill: 0.0, soffit: 1.0 };
        Room { length: side, width: side, height: side, opening, walls: lining, floor: lining, ambient: 293.15 }
    };
    let factor = |area: f64, height: f64| area * height.sqrt();
    let functions: [(&str, Ours); 12] = [
        ("pd_7974.part_1.section_8.equation_28.q_fo", &|x| thomas(x[0], factor(x[1], x[2]))),
        ("pd_7974.part_1.section_8.equation_29.q_fo", &|x| mccaffrey(x[0], x[1], factor(x[2], x[3]))),
        ("pd_7974.part_1.section_8.equation_33.q_max_vc", &|x| ventilation_limit(factor(x[0], x[1]))),
        ("cibse_guide_e.chapter_6.equation_6_7.heat_release_rate_flashover", &|x| {
            let lining = Lining::GYPSUM;
            let opening = Opening { width: x[0] / x[1], sill: 0.0, soffit: x[1] };
            Thresholds::of(&Room { opening, ..room(50.0, lining) }, 180.0).lower
        }),
        ("fire_dynamics_tools.chapter_2.equation_2_1.hot_gas_temperature_increase", &|x| {
            let [heat, area, height, surface, transfer] = x else { panic!("{x:?}") };
            // So thin that heat has gone through: the coefficient is k/δ.
            let lining = Lining { conductivity: *transfer, density: 1e-9, specific_heat: 1e-9, thickness: 1.0 };
            let opening = Opening { width: area / height, sill: 0.0, soffit: *height };
            layer_rise(&Room { opening, ..room(surface + area, lining) }, *heat, 60.0)
        }),
        ("fire_dynamics_tools.chapter_2.equation_2_4.thermal_penetration_time", &|x| {
            Lining { density: x[0], specific_heat: x[1], conductivity: x[2], thickness: x[3] }.penetration_time()
        }),
        ("fire_dynamics_tools.chapter_2.equation_2_5.heat_transfer_coefficient_shorttimes_or_thickwalls", &|x| {
            Lining { conductivity: x[0], density: x[1], specific_heat: x[2], thickness: 10.0 }.transfer(x[3])
        }),
        ("fire_dynamics_tools.chapter_5.equation_5_1.thermal_radiation_point_source", &|x| {
            point_source(x[0], x[2], x[1])
        }),
        ("sfpe_handbook.chapter_14.alpert.heat_release.from_temperature_and_position", &|x| {
            heat_for_rise(x[0] - x[1], Place { height: x[2], distance: x[3] })
        }),
        ("br_187.appendix_a.equation_a1.radiation_intensity", &|x| x[1] * black_body(x[2]) * x[0] / STEFAN_BOLTZMANN),
        ("br_187.appendix_a.equation_a3.phi", &|x| 4.0 * corner_view(x[0], x[1], 1.0)),
        ("br_187.appendix_a.equation_a4.phi", &|x| corner_view(x[0], x[1], 1.0)),
    ];
    for (path, ours) in functions {
        let cases = all["functions"][path]["cases"].as_array().unwrap_or_else(|| panic!("{path}"));
        assert_eq!(cases.len(), 40);
        for case in cases {
            let numbers: Vec<f64> = case.as_array().unwrap().iter().map(|value| value.as_f64().unwrap()).collect();
            let (theirs, inputs) = numbers.split_last().unwrap();
            let found = ours(inputs);
            assert!((found - theirs).abs() <= 1e-6 * theirs.abs(), "{path} {inputs:?}: {found} for {theirs}");
        }
    }
}

/// Normal quantiles, rank correlations with ties, and quantiles by scipy and numpy.
#[test]
fn statistics_agree_with_scipy() {
    let all: Value = serde_json::from_str(CORRELATIONS).unwrap();
    let list =
        |value: &Value| -> Vec<f64> { value.as_array().unwrap().iter().map(|one| one.as_f64().unwrap()).collect() };
    for pair in all["normal"].as_array().unwrap() {
        let [part, value] = list(pair)[..] else { panic!("{pair}") };
        assert!((normal(part) - value).abs() < 1e-9 * value.abs().max(1.0), "{part}");
    }
    let parts = list(&all["parts"]);
    for sample in all["samples"].as_array().unwrap() {
        let (mut one, mut other) = (list(&sample["x"]), list(&sample["y"]));
        let correlation = sample["correlation"].as_f64().unwrap();
        assert!((rank_correlation(&one, &other) - correlation).abs() < 1e-9, "{sample}");
        for (values, quantiles) in [(&mut one, &sample["x_quantiles"]), (&mut other, &sample["y_quantiles"])] {
            sort(values);
            for (part, wanted) in parts.iter().zip(list(quantiles)) {
                assert!((quantile(values, *part).unwrap() - wanted).abs() < 1e-9, "{sample}");
            }
        }
    }
}
