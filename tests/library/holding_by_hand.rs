//! Margins of the families beside numbers worked by hand, each once enough and once too little.

use platewright::plate::plates;
use platewright::recipe::{Part, Shelf};

/// What is looked at; by hand, as the family stands; and what is set for it to be too little, with that by hand.
type Row = (&'static str, f64, &'static str, f64);

fn ratio(family: &str, setting: &str, says: &str) -> (f64, bool) {
    let mut part = Part::plain(Shelf::built_in().family(family).expect("built in"));
    for setting in setting.split(", ").filter(|it| !it.is_empty()) {
        part.set(setting)
            .unwrap_or_else(|faults| panic!("{faults}"));
    }
    let made = plates(&part).unwrap_or_else(|faults| panic!("{family} {setting}: {faults}"));
    let mut margins = made.plates.iter().flat_map(|plate| &plate.strength.margins);
    let found = margins.find(|it| it.says == says);
    let found = found.unwrap_or_else(|| panic!("{family} {setting}: no margin of {says}"));
    (found.ratio, found.is_enough())
}

fn assert_by_hand(family: &str, base: &str, rows: &[Row]) {
    for (says, enough, setting, too_little) in rows {
        let near = |(ratio, _): (f64, bool), by_hand: &f64, set: &str| {
            assert!(
                (ratio / by_hand - 1.0).abs() < 0.005,
                "{family} {set}, {says}: {ratio} and by hand {by_hand}"
            );
        };
        let short = format!("{base}, {setting}");
        near(ratio(family, base, says), enough, base);
        near(ratio(family, &short, says), too_little, &short);
        assert!(ratio(family, base, says).1, "{family}, {says}");
        assert!(!ratio(family, &short, says).1, "{family} {short}, {says}");
    }
}

/// An arm of 10 x 44 mm, fillets of 20, boss of 56: Kt = 1.1 * 0.93232 (20 / 44)^-0.30304 = 1.302, 1.05 times that on
/// 6 * 1500 * (120 - sqrt(56^2 - 44^2) / 2) / (10 * 44^2) = 47.73, 65.28 `MPa`. The rod end's middle stands 13 mm
/// off: 19.5 N m of twist, alpha 0.2855 (4.4 to 1), 15.5 `MPa`; together 70.58.
/// Fatigue: category 125 at a million, 157.5 `MPa`, of two thirds of 65.28.
/// Boss: 5 * 180000 / (10 * 44 * 31) = 65.98 with 2 * 180000 / (pi 25^2 10) = 18.33 of shear, 73.22 `MPa`. Eye: 1.9 Kt, 3.457 at 13 of 40 mm, on 27 x 10 mm,
/// 36.49 `MPa`.
/// Bolt: 12 N m on 169.6 mm3, 70.7 `MPa`, with 13.3 of shear 74.4; at a stand-off of 40 mm 72 N m, 425.1.
#[test]
fn a_steering_arm_by_hand() {
    assert_by_hand(
        "steering-arm",
        "boss_fixing=weld",
        &[
            (
                "the arm at the boss, in bending and twist",
                235.0 / 70.58,
                "load=2 kN",
                235.0 / 94.1,
            ),
            (
                "the arm at the boss, bent to and fro",
                157.5 / 43.52,
                "usual_load=1500 N",
                157.5 / 130.6,
            ),
            (
                "the boss beside its hole, in bending",
                235.0 / 73.22,
                "load=4 kN",
                235.0 / 195.3,
            ),
            (
                "the eye beside its hole, with its notch",
                235.0 / 36.49,
                "load=7 kN",
                235.0 / 170.3,
            ),
            (
                "the rod end's bolt, in bending and shear",
                640.0 / 74.4,
                "stand_off=40 mm",
                640.0 / 425.1,
            ),
            // 4 * 500 * 120^3 / (210000 * 10 * 44^3) = 0.01932 mm.
            (
                "how far the eye gives under the usual load",
                0.5 / 0.01932,
                "usual_load=15 kN",
                0.5 / 0.5796,
            ),
        ],
    );
}

/// 1 kN at 230 mm, a fifth of it from the side: 6 * 200 * 230 / ((34 - 10) 8^2) = 179.7 `MPa` of 1.5 * 235;
/// 234.7 at 7 mm; beside the pin of the rod it is 6 * 200 * 179.2 / ((30.9 - 8) 8^2) = 146.7. The pivot is pulled with 3528 N; the lower bolts are 87 mm and the upper 47 mm from it: 2290 N,
/// 15 mm from the cheeks, 1.2 * 6 * 2290 * 15 / (80 * 4^2) = 193.2 `MPa`. An ear of 60 mm: 3528 * 102 / 164 = 2194 N
/// at 30 mm, 370.2 `MPa`. Two M8 of class 8.8: 0.75 * 29.3 kN of 4 / 3 * 1145 N.
/// Welds: 1764 / (3 * 98) (1 + 6 * 20 / 98) = 13.3 `MPa` of 207.8. Cheek: 6 * 200 * 66 / (104 * 4^2) =
/// 47.6, and 40 / 104 more for a pivot off its middle, 65.9 `MPa`.
#[test]
fn a_pedal_bracket_by_hand() {
    assert_by_hand(
        "pedal-bracket",
        "bearing=shank",
        &[
            (
                "the pedal's arm at the pivot or the rod's pin, pushed from the side",
                352.5 / 179.7,
                "pedal_thickness=7 mm",
                352.5 / 234.7,
            ),
            (
                "an ear of the base, bent by the pull of the pivot",
                352.5 / 193.2,
                "ear=60 mm",
                352.5 / 370.2,
            ),
            (
                "the mounting bolts, in tension with a third more for prying",
                21.96 / 1.527,
                "pedal_force=10 kN",
                21.96 / 15.27,
            ),
            (
                "the welds of a cheek",
                207.8 / 13.34,
                "pedal_force=15 kN",
                207.8 / 200.2,
            ),
            (
                "a cheek where it stands on the base, pushed from the side",
                235.0 / 65.9,
                "pedal_force=5 kN",
                235.0 / 329.5,
            ),
        ],
    );
}

/// At 300 mm 2 kN turn the wheel over with 600 N m: 4 * 600 / (4 * 0.1143) = 5249 N at a wheel bolt. Circles of
/// 100 and 114.3 mm: 6 * 0.51 * 5249 / 10^2 = 160.6 `MPa` of 1.5 * 235; 251 at 8 mm. 300 N to and fro: 48.2 `MPa`
/// of 0.737 * 90. A hub bolt: 49.84 + 0.3 * 6 = 51.6 kN of 56.4, and with 10 kN at the ground 58.8. The joint: 96.6 kN
/// (62^2 + 27.1^2) / (4 * 62) = 1783 N m. Friction: 0.15 * 24.15 kN of 3 + 0.5 kN, and of 3 + 1 kN.
#[test]
fn a_hub_adapter_by_hand() {
    assert_by_hand(
        "hub-adapter",
        "hub_count=4",
        &[
            (
                "the plate between its two circles, bent in a corner",
                352.5 / 160.6,
                "thickness=8 mm",
                352.5 / 251.0,
            ),
            (
                "the plate between its two circles, bent to and fro at every turn",
                66.31 / 48.2,
                "usual_side=400 N",
                66.31 / 64.25,
            ),
            (
                "hub bolts in tension, in a corner",
                56.4 / 51.64,
                "side_force=10 kN",
                56.4 / 58.84,
            ),
            (
                "the joint at hub bolts, opening at its edge in a corner",
                1783.0 / 600.0,
                "side_force=7 kN",
                1783.0 / 2100.0,
            ),
            (
                "hub bolts by friction",
                3.623 / 3.5,
                "wheel_load=4 kN",
                3.623 / 4.0,
            ),
        ],
    );
}

/// Four legs of 26.83 kN, 139.5 kN with 1.3 times. A cheek: the saddle is
/// 51.3 sin 75 = 49.55 mm wide, 1.1 * 139.5 / (2 * 8 * 49.55) = 193.6 `MPa`; 258.1 at 6 mm. Slip:
/// 0.15 * 0.63 * 107.3 = 10.14 kN of hypot(1.3, 2) = 2.385, and of hypot(1.3, 9) = 9.093. Round the tube:
/// 1.3 kN * 300 mm / (25.4 * 2 * 4 * (51.3 * 1.309 - 8)) = 32.4 `MPa` of 207.8. Sideways, where the saddle holds: 6 *
/// 1000 * 15 / (51.3 sin 75 * 8^2) = 28.38 `MPa`.
#[test]
fn a_spring_perch_by_hand() {
    assert_by_hand(
        "spring-perch",
        "thickness=10 mm",
        &[
            (
                "a cheek, squeezed by the clamp of the U-bolts",
                235.0 / 193.6,
                "cheek_thickness=6 mm",
                235.0 / 258.1,
            ),
            (
                "slip of the spring on its seat, braking in a corner",
                10.14 / 2.385,
                "side_force=9 kN",
                10.14 / 9.093,
            ),
            (
                "the welds round the tube, when the axle winds up",
                207.8 / 32.45,
                "brake_force=6 kN",
                207.8 / 149.8,
            ),
            (
                "the cheeks, pushed sideways",
                352.5 / 28.38,
                "side_force=20 kN",
                352.5 / 283.8,
            ),
            // 53.65 kN of proof, 1.3 * 0.5 of it and 1 kN; yield 92 ksi on 0.1419 in2, 58.07 kN. At 0.75: 52.3 + 1.
            (
                "a leg of a U-bolt, tightened hard and over a bump",
                58.07 / 35.87,
                "tightening=0.75",
                58.07 / 53.31,
            ),
        ],
    );
}

/// M10 of class 8.8, 0.63 * 0.75 * 33.64 = 15.9 kN: 0.15 of it of 2 * 80 / (6 * 0.11) = 242.4 N. A key of 12 x 8 mm at
/// a shaft of 40 mm: 0.577 * 235 * 96 * 20 = 260.3 N m; its side 235 * 3.3 * 8 * 20 = 124.1 N m. A chain's 500 N, 25 mm off:
/// 4 * 12.5 / (6 * 0.11) = 75.76 N; circles of 40.2 and 110 mm, (110 / 40.2 - 1) * 6 / (2 pi) = 1.658: twice 6 * 1.658 * 75.76 / 8^2
/// = 23.55 `MPa` of 90 (2 / 5)^(1/3) = 66.31.
#[test]
fn a_flange_by_hand() {
    assert_by_hand(
        "flange",
        "keyway=true",
        &[
            (
                "bolts of the bolt circle by friction",
                2384.0 / 242.4,
                "torque=700 N.m",
                2384.0 / 2121.0,
            ),
            (
                "the key in shear",
                260.3 / 80.0,
                "torque=200 N.m",
                260.3 / 200.0,
            ),
            (
                "the side of the keyway",
                124.1 / 80.0,
                "torque=85 N.m",
                124.1 / 85.0,
            ),
        ],
    );
    assert_by_hand(
        "flange",
        "pull=500 N",
        &[(
            "the plate between bolts and hub, bent to and fro by the pull at every turn",
            66.31 / 23.55,
            "overhang=60 mm",
            66.31 / 56.52,
        )],
    );
}

/// A spoke of 40 mm, 120 mm long: 1.1 * 6 * 1000 * 120 / (40 * 8^2) = 309.4 `MPa` of 1.5 * 235, 550 at 6 mm. The rim is pi * 316 / 3 =
/// 330.9 mm long between two spokes: 6 * 300 * 330.9 / 8 / (8 * 24^2) = 16.16 `MPa`; a free ring would have
/// 6 * 300 * 158 / (pi * 8 * 24^2) = 19.65, and with two spokes it has.
#[test]
fn a_steering_wheel_by_hand() {
    assert_by_hand(
        "steering-wheel",
        "thickness=8 mm",
        &[
            (
                "a spoke, when someone pulls himself up by the rim",
                352.5 / 309.4,
                "thickness=6 mm",
                352.5 / 550.0,
            ),
            (
                "the rim, pulled at two opposite points",
                235.0 / 16.16,
                "hand_force=3 kN",
                235.0 / 161.6,
            ),
        ],
    );
    assert_by_hand(
        "steering-wheel",
        "spokes=2",
        &[(
            "the rim, pulled at two opposite points",
            235.0 / 19.65,
            "hand_force=3 kN",
            235.0 / 196.5,
        )],
    );
}

/// Chain 40, 48 teeth: pitch circle 12.7 / sin 3.75 = 194.18, pull 2 * 80 / 0.19418 = 824 N;
/// 6 * 824 * 3.96 / (6 * 4.78^2) = 142.8 `MPa`, 178.5 at 100 N m.
#[test]
fn a_chain_wheel_by_hand() {
    assert_by_hand(
        "chain-wheel",
        "windows=0",
        &[(
            "a tooth, bent by all the pull of the chain",
            235.0 / 142.8,
            "torque=100 N.m",
            235.0 / 178.5,
        )],
    );
}

/// 800 N 40 mm out and 500 N 120 mm out: 92 N m on a plate 102 + 15 + 40 = 157 mm high, 8 mm thick:
/// 1.1 * 6 * 46000 / (157 * 64) = 30.22 `MPa`, half of it on either side of the face; 120.9 at 4 mm.
#[test]
fn an_engine_plate_by_hand() {
    assert_by_hand(
        "engine-plate",
        "margin=20 mm",
        &[(
            "the plate between the face and the bolts to the frame, bent by what hangs out",
            235.0 / 30.22,
            "thickness=4 mm",
            235.0 / 120.9,
        )],
    );
}

/// 1 kN along the axle, 80 mm below an edge of 141 mm: 6 * 80000 / (141 * 64) = 53.2 `MPa`, 136.2 at 5 mm.
#[test]
fn a_bearing_carrier_by_hand() {
    assert_by_hand(
        "bearing-carrier",
        "margin=20 mm",
        &[(
            "the plate at the frame, bent by the push along the axle",
            235.0 / 53.19,
            "thickness=5 mm",
            235.0 / 136.2,
        )],
    );
}

/// 400 N m at 82 mm is 4878 N; a bolt has half, and 4878 * (105 - 82) / 88.9 = 1262 N across it: 2746 N of
/// 0.45 * 1040 * 78.54 = 36.76 kN, class 10.9. Five times that at 2 kN m. Beside a hole of 10.5 in 36 mm Kt is 3.861:
/// 1.1 * 3.861 * 2746 / (25.5 * 10) = 45.74 `MPa`. The bracket is 88.9 + 36 = 124.9 mm wide, and leaves the flange of 140 mm 31.62 mm
/// from its middle: 6 * 4878 * (82 - 31.62) / (10 * 124.9^2) = 9.451 times 1.1 * 0.93232 (15 / 124.9)^-0.30304 = 1.950, 18.43 `MPa`, with
/// 4878 * 20 N mm over 0.3166 * 124.9 * 10^2 of twist, 24.67: 46.55 (von Mises).
#[test]
fn a_caliper_bracket_by_hand() {
    assert_by_hand(
        "caliper-bracket",
        "sides=left",
        &[
            (
                "the bracket above its flange, bent by the drag of the pads",
                235.0 / 46.55,
                "brake_torque=1 kN.m",
                235.0 / 116.4,
            ),
            (
                "the caliper's bolts by shear",
                36757.0 / 2746.0,
                "brake_torque=2 kN.m",
                36757.0 / 13731.0,
            ),
            (
                "the bracket beside a caliper's bolt, with its notch",
                235.0 / 45.74,
                "brake_torque=1 kN.m",
                235.0 / 114.35,
            ),
        ],
    );
}

/// Half of 2 kN on an eye of 41 mm: lc = 20.5 - 6.747 = 13.753, 1.2 * 13.753 * 8 * 360 = 47.53 kN.
#[test]
fn a_shackle_plate_by_hand() {
    assert_by_hand(
        "shackle-plate",
        "thickness=8 mm",
        &[(
            "the eyes, bearing and tear-out",
            47.53,
            "spring_load=40 kN",
            47.53 / 20.0,
        )],
    );
}

/// Half of 2 kN on an M10 of 8.8: 0.45 * 800 * 78.54 = 28.27 kN.
#[test]
fn a_mounting_tab_by_hand() {
    assert_by_hand(
        "mounting-tab",
        "two=true",
        &[("the bolt by shear", 28.27, "load=20 kN", 28.27 / 10.0)],
    );
}

/// Legs of 120 mm less 15 of relief and two throats of 3: 99 mm; 5 kN / (3 * 99) = 16.84 `MPa` of
/// 360 / (sqrt(3) * 0.8 * 1.25) = 207.8. From the corner to the line of the tips (120, 12) and (12, 120) it is 132 / sqrt 2 =
/// 93.34 mm; less 15 / sqrt 2 of relief, 10 of curve and a hole of 25 a strip of 47.73: 1.1 * 5000 / (5 * 47.73) (4 + 60 / 47.73) =
/// 121.2 `MPa`; straight and without a hole 5000 / (5 * 82.73) * 4 = 48.35.
#[test]
fn a_gusset_by_hand() {
    assert_by_hand(
        "gusset",
        "thickness=5 mm",
        &[
            (
                "the welds along the legs",
                207.8 / 16.84,
                "load=50 kN",
                207.8 / 168.4,
            ),
            (
                "the plate between corner and free edge",
                235.0 / 121.2,
                "load=8 kN",
                235.0 / 193.9,
            ),
        ],
    );
    assert_by_hand(
        "gusset",
        "curve=0 mm, hole=0 mm",
        &[(
            "the plate between corner and free edge",
            235.0 / 48.35,
            "load=20 kN",
            235.0 / 193.4,
        )],
    );
}

/// Two bolts a leg: 4 kN / 2 and 20 N m over 30 mm, 667 N, together 2108 N on two plates: 1054 N of
/// 0.45 * 800 * 50.27 = 18.1 kN for an M8 of 8.8; at 40 kN 10.01 kN.
#[test]
fn a_splice_plate_by_hand() {
    assert_by_hand(
        "splice-plate",
        "form=T",
        &[(
            "a bolt by shear",
            18096.0 / 1054.0,
            "load=40 kN",
            18096.0 / 10006.0,
        )],
    );
}

/// 100 N m over 2 * (76.2 + 25) mm with a quarter of 3 kN: 1244 N a bolt, two of them 25 mm from the tube on a
/// foot 30 + 35 = 65 mm high: 6 * 62204 / (65 * 36) = 159.5 `MPa` of 1.5 * 235, 229.7 at 5 mm.
#[test]
fn a_tube_end_by_hand() {
    assert_by_hand(
        "tube-end",
        "place=foot",
        &[(
            "the foot, bent between its bolts and the tube",
            352.5 / 159.5,
            "thickness=5 mm",
            352.5 / 229.7,
        )],
    );
}

/// 2 kN in the middle of 110 mm, on 150 mm less half of it for the holes: 6 * 2000 * 110 / (4 * 75 * 25) =
/// 176 `MPa` of 1.5 * 235, 275 at 4 mm.
#[test]
fn a_step_plate_by_hand() {
    assert_by_hand(
        "step-plate",
        "foot=150 mm",
        &[(
            "the plate between its supports, bent by a foot",
            352.5 / 176.0,
            "thickness=4 mm",
            352.5 / 275.0,
        )],
    );
}

/// 1.2 kN on 80 mm at a boss of 40 mm with a hole of 16, 1.5 times for its corner:
/// 1.5 * 96000 * 6 * 40 / (10 (40^3 - 16^3)) = 57.7 `MPa`; two and a half times that at 3 kN.
#[test]
fn a_bell_crank_by_hand() {
    assert_by_hand(
        "bell-crank",
        "angle=90 deg",
        &[(
            "an arm at the pivot",
            235.0 / 57.69,
            "pull=3 kN",
            235.0 / 144.2,
        )],
    );
}

/// M10 of class 8.8, 0.15 * 0.63 * 0.75 * 33.64 kN = 2384 N; a chain turned by 40 deg with 400 N presses 273.6 N on the
/// idler, 90 / 60 of it on the bolt in the slot. The arm: Kt = 1.1 * 0.93232 (8 / 36.72)^-0.30304 = 1.627
/// on 6 * 273.6 * 90 / (6 * 36.72^2) = 18.26, 29.72 `MPa`, twisted by 273.6 * 18 N mm over 0.2987 * 36.72 * 6^2,
/// 12.47 `MPa`; together 36.74. Bolt: 4104 N mm on pi 12^3 / 32.
#[test]
fn an_idler_arm_by_hand() {
    assert_by_hand(
        "idler-arm",
        "",
        &[
            (
                "the bolt in the slot by friction; a slot is no stop along itself",
                2384.0 / 410.4,
                "pull=2 kN",
                2384.0 / 2052.0,
            ),
            (
                "the arm at its boss, in bending and twist",
                235.0 / 36.74,
                "pull=3 kN",
                235.0 / 275.6,
            ),
            (
                "the idler's bolt, bent",
                640.0 / 24.19,
                "pull=2 kN, overhang=60 mm",
                640.0 / 483.8,
            ),
        ],
    );
}

/// 1.2 * 6 * 100 * 12 / (24 * 2^2) = 90 `MPa`.
#[test]
fn a_chain_guard_by_hand() {
    assert_by_hand(
        "chain-guard",
        "",
        &[(
            "an ear, bent by who leans on the guard",
            235.0 / 90.0,
            "push=250 N",
            235.0 / 225.0,
        )],
    );
}

/// 200 N m at pads on 85 mm: 2353 N; 2 * 200 / (4 * 0.08) + 2353 / 4 = 1838 N a bolt of the hub. The ring: 2 * 200 N m /
/// (pi 80^2 8) = 2.487 `MPa` of 0.577 * 235 * (1 - 42 / (pi 80)) = 112.9.
#[test]
fn a_disc_adapter_by_hand() {
    assert_by_hand(
        "disc-adapter",
        "",
        &[
            (
                "hub bolts by friction",
                2384.0 / 1838.0,
                "brake_torque=250 N.m",
                2384.0 / 2298.0,
            ),
            (
                "the plate between the two circles, in shear",
                112.9 / 2.487,
                "brake_torque=4 kN.m",
                112.9 / 49.74,
            ),
        ],
    );
}

/// 400 N on 260 - 21 mm, a lever of 8 x 35.7 mm: 6 * 400 * 239 / (8 * 35.7^2) = 56.26 `MPa`, 1.6 times that beside the
/// pivot, 90.02, and across 1.2 * 6 * 80 * 239 / (35.7 * 8^2) = 60.25. A tooth: 400 * 260
/// / 90 = 1156 N: 6 * 1156 * 7.2 / (8 * 12^2) = 43.33 with 1156 / 48 = 24.07 of shear, 60.14 (von Mises), times 1.1 * 0.93232 * 0.125^-0.30304 =
/// 1.926 and 1.35, 156.4 `MPa`.
#[test]
fn a_hand_lever_by_hand() {
    assert_by_hand(
        "hand-lever",
        "",
        &[
            (
                "the lever at its boss, bent by the hand both ways",
                235.0 / 150.27,
                "hand_force=700 N",
                235.0 / 263.0,
            ),
            (
                "a tooth at its root, bent and sheared by the pawl",
                235.0 / 156.4,
                "hand_force=800 N",
                235.0 / 312.7,
            ),
        ],
    );
}

/// 2.5 kN on 45 mm, a lug of 80 x 10 mm: 84.38 `MPa`; the couple of (2500 * 60 + 800 * 290) / 80 = 4775 N and of 600 * 290 / 80
/// = 2175 N: 6 * 2175 * 45 / (10 * 80^2) + 4775 / 800 = 15.15, with 2175 / 800 of shear 99.64 (von Mises). Fatigue: 63 * 4^(1/3) = 100. Kingpin: hypot(4775, 2175) =
/// 5247 N * 7 mm on pi 16^3 / 32 = 402.1 mm3.
/// The back, bolts 149.0 and 89.7 mm apart: (2500 * 105 + 800 * 250) / (2 * 89.7) + 600 * 105 / (2 * 149.0) = 2791 N, 18 + 12 +
/// 90 sin 6 = 39.41 mm beside half of 132.9 mm: 6 * 2791 * 39.41 / (66.43 * 10^2) = 99.32 `MPa` of 1.5 * 235.
#[test]
fn a_kingpin_bracket_by_hand() {
    assert_by_hand(
        "kingpin-bracket",
        "",
        &[
            (
                "a lug at its foot, bent by the wheel's load along the kingpin and by braking",
                235.0 / 99.64,
                "wheel_load=4 kN",
                235.0 / 151.62,
            ),
            (
                "a lug's foot at its welds, bumped again and again",
                100.0 / 28.13,
                "wheel_load=10 kN",
                100.0 / 112.5,
            ),
            (
                "the kingpin, bent over its thrust washers",
                640.0 / 91.34,
                "side_force=4 kN, play=10 mm",
                640.0 / 616.2,
            ),
        ],
    );
    assert_by_hand(
        "kingpin-bracket",
        "fixing=bolted",
        &[(
            "the back, bent between a lug and its bolts",
            352.5 / 99.32,
            "back_thickness=6 mm",
            352.5 / 275.9,
        )],
    );
}

/// A fold of 9 mm inside 6 mm of plate: neutral radius 6 / ln(15 / 9) = 11.746, factor 6 * 2.746 / (6 * 0.2543 * 9) = 1.2.
/// 6 * 600 * 84 / (90 * 6^2) = 93.3 `MPa`, 112 with it. Its foot, beside two slots of 11 + 8 mm: 1.2 * 6 * 600 * 90 / (52 * 6^2) =
/// 207.7. Across, 6 * 300 * 84 / (6 * 90^2) = 3.11 with a twist of 27 N m, alpha 0.3193, 26.10: 45.31. Its bolts, 52 mm apart: half of
/// 300 N, and half of 600 with 300 * 36 / 52, 529.4 N of 0.15 * 15.9 kN. A fold of 6 in 4 mm has the same: 6 * 400 * 34 / (70 * 4^2) = 72.86.
#[test]
fn folded_brackets_by_hand() {
    assert_by_hand(
        "column-support",
        "",
        &[
            (
                "the upright at its fold, bent by a push along the column",
                235.0 / 112.0,
                "push=900 N",
                235.0 / 168.0,
            ),
            (
                "the foot, bent between its bolts and the fold",
                352.5 / 207.7,
                "push=700 N",
                352.5 / 242.3,
            ),
            (
                "upright and foot at their fold, bent and twisted by a push across",
                235.0 / 45.31,
                "side_force=1 kN",
                235.0 / 151.0,
            ),
            (
                "the bolts of the foot by friction; a slot is no stop along itself",
                2384.0 / 529.4,
                "friction=0.04",
                635.8 / 529.4,
            ),
        ],
    );
    assert_by_hand(
        "body-bracket",
        "",
        &[(
            "the fold, bent open or shut by the body",
            235.0 / 87.41,
            "load=800 N",
            235.0 / 174.8,
        )],
    );
}
