//! Pairs of contours that break line-and-arc kernels: tangencies, coincident edges, near misses.
//!
//! `tests/data/hard-contacts.json` holds computed cases whose areas an independent integer polygon
//! engine confirmed on chords of 0.2 micron sagitta.

use platewright::geometry::{Contour, Face, Region};
use serde_json::Value;

fn region(vertices: &Value) -> Region {
    let number = |v: &Value| v.as_f64().expect("a number");
    let vertices: Vec<(f64, f64, f64)> = vertices
        .as_array()
        .expect("a list")
        .iter()
        .map(|v| (number(&v[0]), number(&v[1]), number(&v[2])))
        .collect();
    let outside = Contour::from_bulges(&vertices).expect("a closed contour");
    Region {
        faces: vec![Face {
            outside,
            openings: Vec::new(),
        }],
    }
}

#[test]
fn every_hard_contact_has_its_true_area() {
    let text = include_str!("../data/hard-contacts.json");
    let data: Value = serde_json::from_str(text).expect("valid JSON");
    let cases = data["cases"].as_array().expect("a list of cases");
    assert_eq!(cases.len(), 153);
    let mut wrong = Vec::new();
    for (i, case) in cases.iter().enumerate() {
        let (a, b) = (region(&case["a"]), region(&case["b"]));
        let result = match case["op"].as_str().expect("an operation") {
            "union" => a.union(&b),
            "difference" => a.difference(&b),
            "intersection" => a.intersection(&b),
            other => panic!("unknown operation {other}"),
        };
        let expected = case["area"].as_f64().expect("an area");
        match result {
            Ok(region) if (region.area() - expected).abs() <= 0.05 => {}
            Ok(region) => wrong.push(format!("case {i}: {} for {expected}", region.area())),
            Err(why) => wrong.push(format!("case {i}: {why}")),
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
