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
    title: "yield and tensile strength, modulus of elasticity",
    source: "ASTM A36, EN 10025-2, ASTM A240, Aluminum Association, ASM handbook",
    verified: "A36, S235, S275, S355 to 40 mm, 6061-T6 and 5052-H32 looked up; the rest from memory; \
               6061-T6 is typical, its plate minimum is 240 / 290 MPa",
};

/// Up to a thickness in mm: yield and tensile strength in N/mm².
const fn upto(thickness: f64, yield_point: f64, tensile: f64) -> Strength {
    Strength {
        upto: thickness,
        yield_point,
        tensile,
    }
}

const fn any(yield_point: f64, tensile: f64) -> Strength {
    upto(f64::INFINITY, yield_point, tensile)
}

const S235: &[Strength] = &[
    upto(16.0, 235.0, 360.0),
    upto(40.0, 225.0, 360.0),
    upto(100.0, 215.0, 360.0),
];
const S275: &[Strength] = &[
    upto(16.0, 275.0, 410.0),
    upto(40.0, 265.0, 410.0),
    upto(63.0, 255.0, 410.0),
    upto(80.0, 245.0, 410.0),
    upto(100.0, 235.0, 410.0),
];
const S355: &[Strength] = &[
    upto(16.0, 355.0, 470.0),
    upto(40.0, 345.0, 470.0),
    upto(63.0, 335.0, 470.0),
    upto(80.0, 325.0, 470.0),
    upto(100.0, 315.0, 470.0),
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
    source: "EN 10025-2 (S235, the weakest of the usual plate steels)",
    bend_radius: (1.0, 1.5),
};

const STAINLESS: Material = Material {
    name: "stainless 304",
    aliases: &[
        "stainless",
        "304",
        "304l",
        "a2",
        "1.4301",
        "inox",
        "304 annealed",
    ],
    metal: Metal::Stainless,
    density: 8000.0,
    modulus: 193.0,
    strength: &[any(205.0, 515.0)],
    source: "ASTM A240",
    bend_radius: (1.0, 1.0),
    ..STEEL
};

const ALUMINIUM: Material = Material {
    name: "aluminium 5052",
    aliases: &["aluminium", "5052", "5052-h32", "almg2.5"],
    metal: Metal::Aluminium,
    density: 2680.0,
    modulus: 70.3,
    basis: Basis::Typical,
    strength: &[any(193.0, 228.0)],
    source: "Aluminum Association, 5052-H32",
    bend_radius: (1.0, 1.0),
};

const COPPER: Material = Material {
    name: "copper",
    aliases: &["cu", "c110", "cu-etp"],
    metal: Metal::Copper,
    density: 8940.0,
    modulus: 117.0,
    basis: Basis::Typical,
    strength: &[any(69.0, 220.0)],
    source: "ASM handbook, annealed C110",
    bend_radius: (1.0, 1.0),
};

/// Every material, the usual one of a metal first.
pub const MATERIALS: &[Material] = &[
    STEEL,
    Material {
        name: "S235",
        aliases: &["s235jr", "s235j2", "1.0038"],
        source: "EN 10025-2 Table 7",
        ..STEEL
    },
    Material {
        name: "S275",
        aliases: &["s275jr", "s275j2", "1.0044", "st44"],
        strength: S275,
        source: "EN 10025-2 Table 7",
        ..STEEL
    },
    Material {
        name: "S355",
        aliases: &["s355jr", "s355j2", "s355j2+n", "1.0577", "st52"],
        strength: S355,
        source: "EN 10025-2 Table 7",
        ..STEEL
    },
    Material {
        name: "A36",
        aliases: &["astm a36", "a-36"],
        modulus: 200.0,
        strength: &[any(250.0, 400.0)],
        source: "ASTM A36",
        ..STEEL
    },
    Material {
        name: "A572 grade 50",
        aliases: &["a572", "a572 gr 50", "a572-50", "grade 50"],
        modulus: 200.0,
        strength: &[any(345.0, 450.0)],
        source: "ASTM A572",
        ..STEEL
    },
    Material {
        name: "1018 hot rolled",
        aliases: &["1018", "1018 hr"],
        modulus: 205.0,
        basis: Basis::Typical,
        strength: &[any(220.0, 400.0)],
        source: "ASM handbook",
        ..STEEL
    },
    Material {
        name: "1018 cold drawn",
        aliases: &["1018 cd", "1018 cold rolled"],
        modulus: 205.0,
        basis: Basis::Typical,
        strength: &[any(370.0, 440.0)],
        source: "ASM handbook",
        ..STEEL
    },
    Material {
        name: "4130 normalised",
        aliases: &["4130", "chromoly", "chrome-moly", "25crmo4"],
        modulus: 205.0,
        basis: Basis::Typical,
        strength: &[any(435.0, 670.0)],
        source: "ASM handbook",
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
        source: "EN 10025-2 (S235), coating left out",
        ..STEEL
    },
    STAINLESS,
    Material {
        name: "stainless 316",
        aliases: &["316", "316l", "a4", "1.4401", "1.4404", "316 annealed"],
        ..STAINLESS
    },
    ALUMINIUM,
    Material {
        name: "aluminium 6061",
        aliases: &["6061", "6061-t6", "aluminium 6061-t6"],
        density: 2700.0,
        modulus: 68.9,
        strength: &[any(276.0, 310.0)],
        source: "Aluminum Association, 6061-T6",
        bend_radius: (3.0, 3.0),
        ..ALUMINIUM
    },
    Material {
        name: "aluminium 6082",
        aliases: &["6082", "6082-t6", "aluminium 6082-t6"],
        density: 2700.0,
        modulus: 70.0,
        basis: Basis::Minimum,
        strength: &[upto(6.0, 260.0, 310.0), any(255.0, 300.0)],
        source: "EN 485-2, 6082-T6",
        bend_radius: (3.0, 3.0),
        ..ALUMINIUM
    },
    Material {
        name: "aluminium 5083",
        aliases: &["5083", "5083-h111", "5083-o", "almg4.5mn"],
        density: 2660.0,
        modulus: 71.0,
        basis: Basis::Minimum,
        strength: &[any(125.0, 275.0)],
        source: "EN 485-2, 5083-O and H111",
        bend_radius: (1.5, 2.0),
        ..ALUMINIUM
    },
    Material {
        name: "aluminium 5754",
        aliases: &["5754", "5754-h22", "almg3"],
        density: 2670.0,
        modulus: 70.0,
        basis: Basis::Minimum,
        strength: &[any(130.0, 220.0)],
        source: "EN 485-2, 5754-H22",
        bend_radius: (1.0, 1.5),
        ..ALUMINIUM
    },
    Material {
        name: "aluminium 3003",
        aliases: &["3003", "3003-h14"],
        density: 2730.0,
        modulus: 68.9,
        strength: &[any(145.0, 152.0)],
        source: "Aluminum Association, 3003-H14",
        ..ALUMINIUM
    },
    Material {
        name: "aluminium 1100",
        aliases: &["1100", "1100-h14", "pure aluminium"],
        density: 2710.0,
        modulus: 68.9,
        strength: &[any(117.0, 124.0)],
        source: "Aluminum Association, 1100-H14",
        ..ALUMINIUM
    },
    Material {
        name: "aluminium 7075",
        aliases: &["7075", "7075-t6"],
        density: 2810.0,
        modulus: 71.7,
        strength: &[any(503.0, 572.0)],
        source: "Aluminum Association, 7075-T6",
        bend_radius: (6.0, 9.0),
        ..ALUMINIUM
    },
    COPPER,
    Material {
        name: "brass C260",
        aliases: &["brass", "c260", "cartridge brass", "cuzn30"],
        density: 8530.0,
        modulus: 110.0,
        strength: &[any(75.0, 300.0)],
        source: "ASM handbook, annealed C260",
        ..COPPER
    },
    Material {
        name: "titanium grade 2",
        aliases: &["titanium", "ti grade 2", "ti2"],
        metal: Metal::Titanium,
        density: 4510.0,
        modulus: 103.0,
        basis: Basis::Minimum,
        strength: &[any(275.0, 345.0)],
        source: "ASTM B265",
        bend_radius: (2.5, 3.0),
    },
];
