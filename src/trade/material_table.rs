//! The plate materials, row by row.

use super::material_kind::{Basis, Material, Metal, Strength};
use super::origin::Origin;

/// Densities.
pub const DENSITIES: Origin = Origin {
    title: "densities",
    source: "EN 10025 and ASM handbook values",
    verified: "steel 7850, stainless 304 8000, 6061 2700, 5052 2680 looked up; the rest from memory",
};

/// Strengths.
pub const STRENGTHS: Origin = Origin {
    title: "least yield and tensile strength by thickness, modulus of elasticity",
    source: "EN 10025-2:2019, EN 10149-2:2013, ASTM A36-19, A572-21, A1011-18, A240-23, B209-21a, B265, EN 485-2:2016+A1:2018, AMS 6345",
    verified: "EN 10025-2, A36, A572, S355MC, S420MC and 4130 N looked up; the rest from memory; \
               1018, copper and brass are typical: their standards guarantee no yield",
};

/// Over and up to a thickness in mm: yield and tensile strength in N/mm².
const fn row(over: f64, upto: f64, yield_point: f64, tensile: f64) -> Strength {
    Strength {
        over,
        upto,
        yield_point,
        tensile,
    }
}

/// EN 10025-2 has more tensile strength under 3 mm.
const THIN: f64 = 2.99;

const S235: &[Strength] = &[
    row(0.0, 16.0, 235.0, 360.0),
    row(16.0, 40.0, 225.0, 360.0),
    row(40.0, 100.0, 215.0, 360.0),
    row(100.0, 150.0, 195.0, 350.0),
    row(150.0, 200.0, 185.0, 340.0),
    row(200.0, 250.0, 175.0, 340.0),
];
const S275: &[Strength] = &[
    row(0.0, THIN, 275.0, 430.0),
    row(THIN, 16.0, 275.0, 410.0),
    row(16.0, 40.0, 265.0, 410.0),
    row(40.0, 63.0, 255.0, 410.0),
    row(63.0, 80.0, 245.0, 410.0),
    row(80.0, 100.0, 235.0, 410.0),
    row(100.0, 150.0, 225.0, 400.0),
    row(150.0, 200.0, 215.0, 380.0),
    row(200.0, 250.0, 205.0, 380.0),
];
const S355: &[Strength] = &[
    row(0.0, THIN, 355.0, 510.0),
    row(THIN, 16.0, 355.0, 470.0),
    row(16.0, 40.0, 345.0, 470.0),
    row(40.0, 63.0, 335.0, 470.0),
    row(63.0, 80.0, 325.0, 470.0),
    row(80.0, 100.0, 315.0, 470.0),
    row(100.0, 150.0, 295.0, 450.0),
    row(150.0, 200.0, 285.0, 450.0),
    row(200.0, 250.0, 275.0, 450.0),
];
const AL_6082: &[Strength] = &[
    row(0.4, 6.0, 260.0, 310.0),
    row(6.0, 12.5, 255.0, 300.0),
    row(12.5, 100.0, 240.0, 295.0),
    row(100.0, 150.0, 240.0, 275.0),
];
const AL_5083: &[Strength] = &[
    row(0.2, 6.3, 125.0, 275.0),
    row(6.3, 80.0, 115.0, 270.0),
    row(80.0, 120.0, 110.0, 260.0),
    row(120.0, 200.0, 105.0, 255.0),
];
const AL_7075: &[Strength] = &[
    row(0.4, 0.8, 460.0, 525.0),
    row(0.8, 1.5, 460.0, 540.0),
    row(1.5, 3.0, 470.0, 540.0),
    row(3.0, 6.0, 475.0, 545.0),
    row(6.0, 12.5, 460.0, 540.0),
    row(12.5, 25.0, 470.0, 540.0),
    row(25.0, 50.0, 460.0, 530.0),
    row(50.0, 60.0, 440.0, 525.0),
    row(60.0, 80.0, 420.0, 495.0),
    row(80.0, 90.0, 390.0, 490.0),
    row(90.0, 100.0, 360.0, 460.0),
];

/// What most rows of one metal share; rows write down what differs.
const STEEL: Material = Material {
    name: "mild steel",
    aliases: &[
        "steel",
        "ms",
        "plain steel",
        "low carbon steel",
        "carbon steel",
        "hot rolled",
        "st37",
    ],
    metal: Metal::Steel,
    density: 7850.0,
    modulus: 210.0,
    basis: Basis::Minimum,
    strength: S235,
    source: "EN 10025-2:2019 Table 7, S235, the weakest of the usual plate steels",
    bend_radius: (1.0, 1.5),
};

const STAINLESS: Material = Material {
    name: "stainless 304",
    aliases: &["stainless", "304", "a2", "1.4301", "inox", "304 annealed"],
    metal: Metal::Stainless,
    density: 8000.0,
    modulus: 193.0,
    // The standard sets no end; 130 mm is a caution.
    strength: &[row(0.0, 130.0, 205.0, 515.0)],
    source: "ASTM A240/A240M-23 Table 2",
    bend_radius: (1.0, 1.0),
    ..STEEL
};

const ALUMINIUM: Material = Material {
    name: "aluminium 5052",
    aliases: &["aluminium", "5052", "5052-h32", "almg2.5"],
    metal: Metal::Aluminium,
    density: 2680.0,
    modulus: 70.3,
    basis: Basis::Minimum,
    // ASTM B209 guarantees 160 / 215: the certificate decides.
    strength: &[row(0.2, 40.0, 130.0, 210.0)],
    source: "EN 485-2:2016+A1:2018, 5052-H32",
    bend_radius: (1.0, 1.0),
};

const COPPER: Material = Material {
    name: "copper",
    aliases: &["cu", "c110", "cu-etp"],
    metal: Metal::Copper,
    density: 8940.0,
    modulus: 117.0,
    basis: Basis::Typical,
    strength: &[row(0.0, 25.0, 69.0, 205.0)],
    source: "ASTM B152, C11000 soft: no yield is guaranteed",
    bend_radius: (1.0, 1.0),
};

/// Every material, the usual one of a metal first.
pub const MATERIALS: &[Material] = &[
    STEEL,
    Material {
        name: "S235",
        aliases: &["s235jr", "s235j2", "1.0038"],
        source: "EN 10025-2:2019 Table 7",
        ..STEEL
    },
    Material {
        name: "S275",
        aliases: &["s275jr", "s275j2", "1.0044", "st44"],
        strength: S275,
        source: "EN 10025-2:2019 Table 7",
        ..STEEL
    },
    Material {
        name: "S355",
        aliases: &["s355jr", "s355j2", "s355j2+n", "1.0577", "st52"],
        strength: S355,
        source: "EN 10025-2:2019 Table 7",
        ..STEEL
    },
    Material {
        name: "S355MC",
        aliases: &["1.0976"],
        strength: &[row(1.5, 20.0, 355.0, 430.0)],
        source: "EN 10149-2:2013 Table 3",
        ..STEEL
    },
    Material {
        name: "S420MC",
        aliases: &["1.0980"],
        strength: &[row(1.5, 20.0, 420.0, 480.0)],
        source: "EN 10149-2:2013 Table 3",
        ..STEEL
    },
    Material {
        name: "A36",
        aliases: &["astm a36", "a-36"],
        modulus: 200.0,
        strength: &[
            row(0.0, 200.0, 250.0, 400.0),
            row(200.0, 305.0, 220.0, 400.0),
        ],
        source: "ASTM A36/A36M-19",
        ..STEEL
    },
    Material {
        name: "A572 grade 50",
        aliases: &["a572", "a572 gr 50", "a572-50", "grade 50"],
        modulus: 200.0,
        strength: &[row(0.0, 100.0, 345.0, 450.0)],
        source: "ASTM A572/A572M-21",
        ..STEEL
    },
    Material {
        name: "1018 hot rolled",
        aliases: &["1018", "1018 hr"],
        modulus: 205.0,
        basis: Basis::Typical,
        strength: &[row(0.0, 250.0, 220.0, 400.0)],
        source: "ASM handbook: sold by composition, no strength is guaranteed",
        ..STEEL
    },
    Material {
        name: "1018 cold drawn",
        aliases: &["1018 cd", "1018 cold rolled"],
        modulus: 205.0,
        basis: Basis::Typical,
        strength: &[row(0.0, 250.0, 370.0, 440.0)],
        source: "ASM handbook: ASTM A108 gives strengths as a guide only",
        ..STEEL
    },
    Material {
        name: "4130 normalised",
        aliases: &["4130", "chromoly", "chrome-moly", "25crmo4"],
        modulus: 205.0,
        strength: &[row(0.63, 4.75, 517.0, 655.0), row(4.75, 9.53, 483.0, 621.0)],
        source: "AMS 6345, normalised",
        bend_radius: (2.0, 3.0),
        ..STEEL
    },
    Material {
        name: "galvanised steel",
        aliases: &[
            "galvanised",
            "galvanized",
            "galvanized steel",
            "galv",
            "zinc-coated steel",
        ],
        metal: Metal::Galvanised,
        basis: Basis::Typical,
        source: "EN 10025-2:2019 (S235), coating left out: galvanised sheet is often sold without a guaranteed yield",
        ..STEEL
    },
    STAINLESS,
    Material {
        name: "stainless 304L",
        aliases: &["304l", "1.4307"],
        strength: &[row(0.0, 130.0, 170.0, 485.0)],
        ..STAINLESS
    },
    Material {
        name: "stainless 316L",
        aliases: &["316l", "1.4404"],
        strength: &[row(0.0, 130.0, 170.0, 485.0)],
        ..STAINLESS
    },
    Material {
        name: "stainless 316",
        aliases: &["316", "a4", "1.4401", "316 annealed"],
        ..STAINLESS
    },
    ALUMINIUM,
    Material {
        name: "aluminium 6061",
        aliases: &["6061", "6061-t6", "aluminium 6061-t6"],
        density: 2700.0,
        modulus: 68.9,
        strength: &[
            row(0.4, 100.0, 240.0, 290.0),
            row(100.0, 150.0, 240.0, 275.0),
        ],
        source: "EN 485-2:2016+A1:2018, 6061-T6",
        bend_radius: (3.0, 3.0),
        ..ALUMINIUM
    },
    Material {
        name: "aluminium 6082",
        aliases: &["6082", "6082-t6", "aluminium 6082-t6"],
        density: 2700.0,
        modulus: 70.0,
        strength: AL_6082,
        source: "EN 485-2:2016+A1:2018, 6082-T6",
        bend_radius: (3.0, 3.0),
        ..ALUMINIUM
    },
    Material {
        name: "aluminium 5083",
        aliases: &["5083", "5083-h111", "5083-o", "almg4.5mn"],
        density: 2660.0,
        modulus: 71.0,
        strength: AL_5083,
        source: "EN 485-2:2016+A1:2018, 5083-O and H111",
        bend_radius: (1.5, 2.0),
        ..ALUMINIUM
    },
    Material {
        name: "aluminium 5083-H116",
        aliases: &["5083-h116"],
        density: 2660.0,
        modulus: 71.0,
        strength: &[row(1.5, 40.0, 215.0, 305.0), row(40.0, 80.0, 200.0, 285.0)],
        source: "EN 485-2:2016+A1:2018, 5083-H116",
        bend_radius: (2.0, 3.0),
        ..ALUMINIUM
    },
    Material {
        name: "aluminium 5754",
        aliases: &["5754", "5754-h22", "almg3"],
        density: 2670.0,
        modulus: 70.0,
        strength: &[row(0.2, 40.0, 130.0, 220.0)],
        source: "EN 485-2:2016+A1:2018, 5754-H22",
        bend_radius: (1.0, 1.5),
        ..ALUMINIUM
    },
    Material {
        name: "aluminium 3003",
        aliases: &["3003", "3003-h14"],
        density: 2730.0,
        modulus: 68.9,
        strength: &[row(0.2, 25.4, 115.0, 140.0)],
        source: "ASTM B209/B209M-21a, 3003-H14",
        ..ALUMINIUM
    },
    Material {
        name: "aluminium 1100",
        aliases: &["1100", "1100-h14", "pure aluminium"],
        density: 2710.0,
        modulus: 68.9,
        strength: &[row(0.2, 25.4, 95.0, 110.0)],
        source: "ASTM B209/B209M-21a, 1100-H14",
        ..ALUMINIUM
    },
    Material {
        name: "aluminium 7075",
        aliases: &["7075", "7075-t6"],
        density: 2810.0,
        modulus: 71.7,
        strength: AL_7075,
        source: "EN 485-2:2016+A1:2018, 7075-T6",
        bend_radius: (6.0, 9.0),
        ..ALUMINIUM
    },
    COPPER,
    Material {
        name: "brass C260",
        aliases: &["brass", "c260", "cartridge brass", "cuzn30"],
        density: 8530.0,
        modulus: 110.0,
        strength: &[row(0.0, 25.0, 75.0, 285.0)],
        source: "ASTM B36, C26000 annealed: no yield is guaranteed",
        ..COPPER
    },
    Material {
        name: "titanium grade 2",
        aliases: &["titanium", "ti grade 2", "ti2"],
        metal: Metal::Titanium,
        density: 4510.0,
        modulus: 103.0,
        basis: Basis::Minimum,
        strength: &[row(0.0, 25.4, 275.0, 345.0)],
        source: "ASTM B265",
        bend_radius: (2.5, 3.0),
    },
];
