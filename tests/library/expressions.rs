//! Expressions as builders write them: values against the definitions of the units, mistakes with
//! their places and remedies, and laws that hold for every input.

use platewright::fault::Refusal;
use platewright::quantity::{
    Dimension, Expression, Function, Mistake, Nameless, Parameter, Scope, Value,
};
use proptest::prelude::*;

/// Some names and two functions, as a recipe would have.
struct Bench;

impl Scope for Bench {
    fn value(&self, name: &str) -> Option<Value> {
        Some(match name {
            "outside" => Value::length(170.0),
            "wall" => Value::length(3.0),
            "a" => Value::length(50.8),
            "n" => Value::number(5.0),
            "clocking" => Value::angle(0.5),
            "boss.x" => Value::length(-12.5),
            "style" => Value::text("round"),
            "wide" => Value::Truth(true),
            _ => return None,
        })
    }

    fn names(&self) -> Vec<String> {
        [
            "outside", "wall", "a", "n", "clocking", "boss.x", "style", "wide",
        ]
        .map(str::to_owned)
        .to_vec()
    }

    fn functions(&self) -> &[Function] {
        &FUNCTIONS
    }
}

static FUNCTIONS: [Function; 2] = [
    Function {
        name: "hole",
        parameters: &[
            Parameter::words("thread"),
            Parameter::words("fit").optional(),
        ],
        says: "the text it was given",
        source: "",
        call: |given| Ok(Value::text(given.one::<&str>()?)),
    },
    Function {
        name: "picky",
        parameters: &[Parameter::length("pitch circle").positive()],
        says: "always refuses",
        source: "",
        call: |_| Err(Refusal::new("no such circle").remedy("100 mm and 120 mm are known")),
    },
];

fn read(text: &str) -> Result<Value, Mistake> {
    Expression::parse(text)?.evaluate(&Bench)
}

#[track_caller]
fn mm(text: &str, expected: f64) {
    amount(text, Dimension::LENGTH, expected);
}

#[track_caller]
fn amount(text: &str, dimension: Dimension, expected: f64) {
    let value = read(text).unwrap_or_else(|mistake| panic!("{text}: {mistake}"));
    let found = value
        .expect(dimension)
        .unwrap_or_else(|why| panic!("{text}: {why:?}"));
    let gap = (found - expected).abs();
    assert!(
        gap <= 1e-12 * expected.abs().max(1e-300),
        "{text}: found {found}, expected {expected}"
    );
}

#[track_caller]
fn number(text: &str, expected: f64) {
    amount(text, Dimension::NONE, expected);
}

#[track_caller]
fn truth(text: &str, expected: bool) {
    assert_eq!(read(text), Ok(Value::Truth(expected)), "{text}");
}

/// The mistake, its place underlined, and the remedy, as one line each.
#[track_caller]
fn wrong(text: &str, underlined: &str, message: &str, remedy: &str) {
    let mistake = match read(text) {
        Err(mistake) => mistake,
        Ok(value) => panic!("{text} is worth {value:?}"),
    };
    assert_eq!(mistake.message, message, "{text}");
    assert_eq!(mistake.remedy.as_deref().unwrap_or(""), remedy, "{text}");
    assert_eq!(&text[mistake.span], underlined, "{text}");
}

// International yard and pound agreement, 1959: 1 in = 25.4 mm and 1 ft = 304.8 mm exactly.
#[test]
fn lengths_in_mm_and_inch_mix_freely() {
    mm("12 mm", 12.0);
    mm("1.2 cm", 12.0);
    mm(".5m", 500.0);
    mm("4.5 in", 114.3);
    mm("4-1/2 in", 114.3);
    mm("4 1/2 in", 114.3);
    mm("1-5/8\"", 41.275);
    mm("3/4 in", 19.05);
    mm("3/4\"", 19.05);
    mm("2 ft", 609.6);
    mm("4 ft 6 in", 1371.6);
    mm("4' 6\"", 1371.6);
    mm("4' 6-1/2\"", 1384.3);
    mm("1-5/8 in + 2 * wall", 47.275);
    mm("10 mm - 1/2 in", -2.7);
    mm("-3-1/2 in", -88.9);
    mm("-(3 - 1) in", -50.8);
    mm("(1 + 2) mm", 3.0);
    mm("max(1, 2) in", 50.8);
    mm("1e1 mm", 10.0);
}

#[test]
fn a_minus_after_a_name_or_with_spaces_subtracts() {
    mm("a-1/2 in", 38.1);
    mm("a - 1/2 in", 38.1);
    mm("outside-3-1/2 in", 81.1);
    number("3-1/2", 2.5);
    number("3 - 1 / 2", 2.5);
    mm("boss.x-1 mm", -13.5);
}

// NIST Special Publication 811, Appendix B: 1 lbf = 4.448 221 615 260 5 N and
// 1 lb = 0.453 592 37 kg exactly; 1 psi = 1 lbf/in², 1 in = 25.4 mm.
#[test]
fn every_other_quantity_converts_by_its_definition() {
    amount("250 N", Dimension::FORCE, 250.0e3);
    amount("1 lbf / 1 N", Dimension::NONE, 4.448_221_615_260_5);
    amount("40 N.m", Dimension::TORQUE, 40.0e6);
    amount("40 N·m / (1 N.mm)", Dimension::NONE, 40.0e3);
    amount("1 lbf.ft / (12 lbf.in)", Dimension::NONE, 1.0);
    amount("355 MPa - 355 N/mm2", Dimension::STRESS, 0.0);
    amount(
        "1 ksi / (1 MPa)",
        Dimension::NONE,
        4.448_221_615_260_5e3 / 645.16,
    );
    amount("1 lb", Dimension::MASS, 0.453_592_37);
    amount("7850 kg/m3 * 1 m * 1 m2", Dimension::MASS, 7850.0);
    amount("7.85 g/cm3 / (7850 kg/m3)", Dimension::NONE, 1.0);
    amount("2500 mm/min * 2 min", Dimension::LENGTH, 5000.0);
    amount("100 in/min * 30 s", Dimension::LENGTH, 1270.0);
    amount("36 km/h / (1 m/s)", Dimension::NONE, 10.0);
    amount("1.5 h", Dimension::TIME, 5400.0);
    amount("355 MPa * 10 mm2", Dimension::FORCE, 3550.0e3);
    number("15%", 0.15);
    amount("2 in2", Dimension::AREA, 1290.32);
    amount("2 cm²", Dimension::AREA, 200.0);
}

#[test]
fn angles_go_into_and_come_out_of_trigonometry() {
    number("sin(30 deg)", 0.5);
    number("cos(60°)", 0.5);
    number("tan(45 deg)", 1.0);
    amount("asin(1)", Dimension::ANGLE, std::f64::consts::FRAC_PI_2);
    number("acos(0.5) / (60 deg)", 1.0);
    amount(
        "atan2(3 mm, 3 mm)",
        Dimension::ANGLE,
        std::f64::consts::FRAC_PI_4,
    );
    number("radians(180 deg) / pi", 1.0);
    number("degrees(0.5 rad)", 0.5_f64.to_degrees());
    mm("radians(90 deg) * 100 mm", 50.0 * std::f64::consts::PI);
}

#[test]
fn arithmetic_binds_as_in_school() {
    number("2 + 3 * 4", 14.0);
    number("-2^2", -4.0);
    number("2^3^2", 512.0);
    number("2^-1", 0.5);
    number("8 / 4 / 2", 1.0);
    number("10 − 2 × 3 ÷ 6", 9.0);
    number("(1 + 2) * n", 15.0);
    amount("(2 mm)^2", Dimension::AREA, 4.0);
    mm("sqrt(9 mm2)", 3.0);
    mm("(9 mm2)^0.5", 3.0);
    mm("hypot(3 mm, 4 mm)", 5.0);
    mm("clamp(outside, 10 mm, 100 mm)", 100.0);
    mm("min(wall, 1 in, 4 mm)", 3.0);
    mm("abs(boss.x)", 12.5);
    number("mod(-1, 5)", 4.0);
    number("mod(370 deg, 360 deg) / (10 deg)", 1.0);
    number("floor(0.3 / 0.1)", 3.0);
    number("ceil(2.1) + round(2.5) + floor(2.9)", 8.0);
    number("gcd(12, 18)", 6.0);
    number("gcd(5, 4, 10)", 1.0);
    number("gcd(0, 4)", 4.0);
    mm("if(n > 3, 10 mm, 1 / 0)", 10.0);
}

#[test]
fn tests_compare_within_rounding() {
    truth("0.1 + 0.2 == 0.3", true);
    truth("0.1 + 0.2 <= 0.3", true);
    truth("0.1 + 0.2 > 0.3", false);
    truth("1 in == 25.4 mm", true);
    truth("1 in != 25.41 mm", true);
    truth("style == \"round\" and not (n < 3)", true);
    truth("style == 'square' or wide", true);
    truth("true == false", false);
    truth("n ≥ 5 and n ≤ 5", true);
    truth("n > 0 or 1 / 0 > 1", true);
}

#[test]
fn words_may_stand_in_either_quotes_and_lengths_may_go_without() {
    assert_eq!(read("hole('M10', \"medium\")"), Ok(Value::text("M10")));
    assert_eq!(read("hole(1/2 in)"), Ok(Value::text("1/2 in")));
    assert_eq!(read("hole(1/2\")"), Ok(Value::text("1/2\"")));
    assert_eq!(read("hole(wall * 2)"), Ok(Value::text("6 mm")));
    assert_eq!(read("hole(style)"), Ok(Value::text("round")));
}

#[test]
fn names_come_once_each_in_order() {
    let names = |text: &str| -> Vec<String> {
        let expression = Expression::parse(text).expect(text);
        expression.names().into_iter().map(str::to_owned).collect()
    };
    assert_eq!(
        names("if(b.x > 2 * pi, a, b.x) + sin(c) - 'text'"),
        ["b.x", "a", "c"]
    );
    assert!(names("12 mm").is_empty());
}

#[test]
fn mixing_kinds_underlines_both_sides() {
    wrong(
        "1 + (outside + clocking)",
        "(outside + clocking)",
        "`outside` is a length and `clocking` is an angle: they cannot be added",
        "",
    );
    wrong(
        "outside - 3",
        "outside - 3",
        "`outside` is a length and `3` is a plain number: they cannot be subtracted",
        "write `3 mm` or `3 in`",
    );
    wrong(
        "3 - 1/2 in",
        "3 - 1/2 in",
        "`3` is a plain number and `1/2 in` is a length: they cannot be subtracted",
        "for a mixed number, write `3-1/2 in`",
    );
    wrong(
        "outside > \"big\"",
        "\"big\"",
        "this must be a quantity, but is text",
        "leave out the quotes around `big`",
    );
    wrong(
        "style == 3",
        "style == 3",
        "`style` is text and `3` is a plain number: they cannot be compared",
        "compare two of a kind: lengths with lengths, words in quotes with words",
    );
    wrong(
        "max(1 mm, 1 deg)",
        "max(1 mm, 1 deg)",
        "this mixes a length and an angle: every value must be of one kind",
        "see that each number has its unit, such as `12 mm`",
    );
}

#[test]
fn what_can_be_read_two_ways_is_refused() {
    wrong(
        "a/2-1/2 in",
        "2-1/2",
        "`2-1/2` after `/` can be read two ways",
        "put the number and its unit in parentheses, or spaces around every operator",
    );
    mm("a / 2 - 1/2 in", 12.7);
    number("a / (2-1/2 in)", 0.8);
    wrong(
        "a*2-1/2 in",
        "2-1/2",
        "`2-1/2` after `*` can be read two ways",
        "put the number and its unit in parentheses, or spaces around every operator",
    );
    mm("2 * 3-1/2 in", 177.8);
    wrong(
        "4'-6\"",
        "'-6\"",
        "feet, a dash and inches can be read two ways",
        "write a space instead of the dash to add `6\"`, or spaces around it to subtract",
    );
    mm("4 ft - 6 in", 1066.8);
    wrong(
        "3/4 mm",
        "3/4",
        "`3/4` is read as a fraction only as whole numbers of inches or feet",
        "write `0.75 mm`",
    );
    wrong(
        "3-5/2 in",
        "3-5/2",
        "`3-5/2` is not a mixed number: its fraction is not less than 1",
        "put spaces around the minus to subtract",
    );
}

#[test]
fn slips_get_a_remedy() {
    wrong(
        "outsde",
        "outsde",
        "there is no `outsde`",
        "did you mean `outside`?",
    );
    wrong(
        "sqr(4)",
        "sqr",
        "there is no function `sqr`",
        "did you mean `sqrt`?",
    );
    wrong(
        "n(4)",
        "n",
        "there is no function `n`",
        "to multiply, write `n * (…)`",
    );
    wrong(
        "sin + 1",
        "sin",
        "there is no `sin`",
        "to call the function, write `sin(…)`",
    );
    wrong("4 inch", "inch", "`inch` is not a unit", "write `4 in`");
    wrong(
        "4-1/2 inches",
        "inches",
        "`inches` is not a unit",
        "write `4-1/2 in`",
    );
    wrong(
        "12 - 3/8 inch",
        "inch",
        "`inch` is not a unit",
        "write `3/8 in`",
    );
    wrong("40 Nm", "Nm", "`Nm` is not a unit", "write `40 N.m`");
    wrong(
        "7 ga",
        "ga",
        "`ga` is not a unit",
        "how thick a gauge is depends on the metal: write `gauge(7, \"steel\")`, or \
         \"galvanised\", \"stainless\" or \"aluminium\" in place of \"steel\"",
    );
    wrong("2n", "n", "`n` is not a unit", "to multiply, write `2 * n`");
    wrong(
        "wall mm",
        "mm",
        "`mm` cannot stand here",
        "put an operator such as `+` or `*` before it",
    );
    wrong(
        "(wall) mm",
        "(wall) mm",
        "`(wall)` is a length already, it cannot take the unit `mm`",
        "leave out `mm`",
    );
    wrong(
        "1,5 mm",
        ",",
        "`,` cannot stand here",
        "write decimals with a point, `1.5`; commas part arguments",
    );
    wrong(
        "n = 3",
        "=",
        "`=` has no meaning here",
        "write `==` to compare",
    );
    wrong(
        "1 < n < 9",
        "1 < n < 9",
        "comparisons cannot be chained",
        "write `1 < n and n < 9`",
    );
    wrong(
        "5 % 3",
        "3",
        "`3` cannot stand here",
        "put an operator such as `+` or `*` before it",
    );
    wrong("(1 + 2", "(", "this parenthesis is not closed", "add `)`");
    wrong(
        "1 + 2)",
        ")",
        "`)` cannot stand here",
        "take it away, or open a parenthesis before it",
    );
    wrong(
        "1 +",
        "+",
        "the expression ends too early",
        "write a value after this",
    );
    wrong(
        "\"M10",
        "\"M10",
        "this text has no closing quote",
        "close it with \"",
    );
    wrong(
        "  ",
        "  ",
        "there is nothing here",
        "write a value, for example `12 mm`",
    );
    wrong(
        "4 ft 6",
        "6",
        "a number after feet needs its unit",
        "write `6 in`",
    );
    wrong(
        "1 + mm",
        "mm",
        "there is no `mm`",
        "a unit goes after a number, `1 mm`",
    );
    wrong(
        "3 1/2 + 1",
        "1",
        "`1` cannot stand here",
        "for a mixed number of inches, write `3 1/2 in`",
    );
    wrong(
        "n 1/2",
        "1",
        "`1` cannot stand here",
        "put an operator such as `+` or `*` before it",
    );
}

#[test]
fn functions_name_the_parameter_at_fault() {
    wrong(
        "sin(30)",
        "30",
        "angle of `sin` must be an angle, but is a plain number",
        "write `30 deg`",
    );
    wrong(
        "hole(10)",
        "10",
        "thread of `hole` must be words in quotes, but is a plain number",
        "",
    );
    wrong(
        "hole()",
        "hole()",
        "`hole` needs a thread here",
        "write `hole(thread, [fit])`: the text it was given",
    );
    wrong(
        "hole('M10', 'fine', 'x')",
        "hole('M10', 'fine', 'x')",
        "`hole` takes at most 2 values, not 3",
        "write `hole(thread, [fit])`: the text it was given",
    );
    wrong(
        "1 mm + picky(90 mm)",
        "picky(90 mm)",
        "no such circle",
        "100 mm and 120 mm are known",
    );
    wrong(
        "picky(-3 mm)",
        "-3 mm",
        "pitch circle of `picky` must be more than 0, but is -3 mm (-0.118 in)",
        "",
    );
    wrong(
        "picky(1-1/2)",
        "1-1/2",
        "pitch circle of `picky` must be a length, but is a plain number",
        "write `1-1/2 in`",
    );
    wrong(
        "if(n, 1, 2)",
        "n",
        "this must be true or false, but is a plain number",
        "write a test, for example `n > 3`",
    );
    wrong(
        "if(true, 1)",
        "if(true, 1)",
        "`if` takes a test and two values",
        "write `if(test, value if true, value if false)`",
    );
}

#[test]
fn results_that_do_not_exist_are_refused() {
    wrong(
        "1 mm / (n - 5)",
        "1 mm / (n - 5)",
        "this divides by zero: `(n - 5)` is 0",
        "make it other than 0",
    );
    wrong("1/0 in", "1/0", "this divides by zero", "");
    wrong(
        "sqrt(0 - 4 mm2)",
        "sqrt(0 - 4 mm2)".get(5..14).expect("inside"),
        "`0` is a plain number and `4 mm2` is an area: they cannot be subtracted",
        "write `0 mm2`",
    );
    wrong(
        "sqrt(-4 mm2)",
        "sqrt(-4 mm2)",
        "this is the square root of -4 mm2, which is below 0",
        "no lengths give that: one that is taken away is longer than the other",
    );
    wrong(
        "sqrt(4 mm)",
        "sqrt(4 mm)",
        "a length has no square root: an area or a plain number has",
        "",
    );
    wrong(
        "1e300 * 1e300",
        "1e300 * 1e300",
        "the result is too large to compute with",
        "look for a value that is too large, or a division by almost 0",
    );
    wrong("1e999", "1e999", "this number is too large", "");
    wrong(
        "asin(1.2)",
        "asin(1.2)",
        "1.2 is not between -1 and 1, so no angle has it",
        "divide the shorter length by the longer one",
    );
    wrong(
        "tan(90 deg)",
        "tan(90 deg)",
        "a right angle has no tangent",
        "give an angle below 90 deg",
    );
    wrong(
        "mod(3, 0)",
        "mod(3, 0)",
        "the divisor is 0",
        "make it other than 0",
    );
    wrong(
        "0^-1",
        "0^-1",
        "this divides by zero: 0 to a power below 0",
        "make what is raised other than 0",
    );
    wrong(
        "(0 - 8)^0.5",
        "(0 - 8)^0.5",
        "`(0 - 8)` is below 0: only whole powers of it exist",
        "make it 0 or more, or raise it to a whole power",
    );
    wrong(
        "2^(1 mm)",
        "2^(1 mm)",
        "`(1 mm)` is a length: a power must be a plain number",
        "",
    );
    wrong(
        "(1 mm)^99",
        "(1 mm)^99",
        "a length to this power is no quantity",
        "use a small whole power, or `sqrt` of an area",
    );
}

#[test]
fn long_and_deep_input_is_refused_in_words() {
    let refusal = |text: &str| Expression::parse(text).expect_err("too much").message;
    let deep = "nested or chained more than 100 deep";
    assert!(refusal(&"(".repeat(3000)).contains(deep));
    assert!(refusal(&"-".repeat(3000)).contains(deep));
    assert!(refusal(&"not ".repeat(900)).contains(deep));
    assert!(refusal(&"2^".repeat(1500)).contains(deep));
    assert!(refusal(&format!("1{}", "+1".repeat(1500))).contains(deep));
    assert!(refusal(&"abs(".repeat(900)).contains(deep));
    assert!(refusal(&" ".repeat(5000)).contains("longer than 4000 bytes"));
    assert!(Expression::parse(&format!("1{}", "+1".repeat(90))).is_ok());
    let nested = format!("{}1{}", "(".repeat(60), ")".repeat(60));
    assert!(Expression::parse(&nested).is_ok());
}

/// Expressions as text, spaced and parenthesised at will.
fn expressions() -> impl Strategy<Value = String> {
    let number = prop_oneof![
        (0_u32..5000).prop_map(|n| n.to_string()),
        (0.0_f64..1000.0).prop_map(|n| n.to_string()),
        (1_u32..99, 1_u32..64).prop_map(|(whole, part)| format!("{whole}-{part}/64 in")),
        (1_u32..9, 1_u32..12).prop_map(|(feet, inches)| format!("{feet}' {inches}\"")),
    ];
    let unit = prop::sample::select(vec!["mm", "in", "deg", "N.m", "mm/min", "%", "°", "mm²"]);
    let leaf = prop_oneof![
        number,
        (0.0_f64..100.0, unit.clone()).prop_map(|(n, unit)| format!("{n} {unit}")),
        prop::sample::select(vec![
            "outside", "n", "boss.x", "pi", "wide", "true", "style"
        ])
        .prop_map(str::to_owned),
        prop::sample::select(vec!["\"M10\"", "'it is 5\" wide'", "\"it's\""])
            .prop_map(str::to_owned),
    ];
    let operator = prop::sample::select(vec![
        "+", "-", "*", "/", "^", "<", "<=", ">", ">=", "==", "!=", "and", "or", "−", "×",
    ]);
    leaf.prop_recursive(6, 48, 3, move |inner| {
        prop_oneof![
            (inner.clone(), operator.clone(), inner.clone()).prop_filter_map(
                "comparisons cannot be chained",
                |(a, operator, b)| {
                    let text = format!("{a} {operator} {b}");
                    Expression::parse(&text).is_ok().then_some(text)
                }
            ),
            inner.clone().prop_map(|a| format!("({a})")),
            inner.clone().prop_map(|a| format!("-({a})")),
            inner.clone().prop_map(|a| format!("(not {a})")),
            (inner.clone(), unit.clone()).prop_map(|(a, unit)| format!("({a}){unit}")),
            (inner.clone(), inner.clone()).prop_map(|(a, b)| format!("max({a},{b})")),
            (inner.clone(), inner.clone(), inner)
                .prop_map(|(a, b, c)| format!("if({a}, {b}, {c})")),
        ]
    })
}

/// Any characters, and shuffles of the ones that expressions are made of.
fn scribbles() -> impl Strategy<Value = String> {
    let scraps = prop::sample::select(vec![
        "1",
        "/",
        "2",
        "-",
        " ",
        "in",
        "\"",
        "'",
        "ft",
        "(",
        ")",
        "mm",
        "^",
        "*",
        "e9",
        ".",
        ",",
        "a",
        "not ",
        "and ",
        "if(",
        "boss.x",
        "max(",
        "%",
        "°",
        "²",
        "−",
        "=",
        "<",
        "9999999999999",
        "½",
        "ø",
        "\u{301}",
        "\n",
        "n",
        "hole(",
    ]);
    prop_oneof![
        any::<String>(),
        prop::collection::vec(scraps, 0..40).prop_map(|scraps| scraps.concat()),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn a_printed_expression_reads_as_the_same(text in expressions()) {
        let first = Expression::parse(&text).expect("made to be readable");
        let printed = first.to_string();
        let second = Expression::parse(&printed);
        prop_assert_eq!(second.as_ref(), Ok(&first), "printed as {}", printed);
        let value = |expression: &Expression| expression.evaluate(&Bench).ok();
        prop_assert_eq!(second.ok().and_then(|it| value(&it)), value(&first));
    }

    #[test]
    fn no_input_panics_and_every_mistake_points_into_it(text in scribbles()) {
        let outcome = Expression::parse(&text).and_then(|it| it.evaluate(&Bench));
        match outcome {
            Ok(Value::Quantity(it)) => prop_assert!(it.amount.is_finite()),
            Ok(_) => {}
            Err(mistake) => {
                prop_assert!(text.get(mistake.span.clone()).is_some(), "{:?}", mistake);
                prop_assert!(!mistake.message.is_empty());
            }
        }
    }

    #[test]
    fn inches_and_sixty_fourths_are_exact(whole in 0_u32..200, part in 1_u32..64) {
        let text = format!("{whole}-{part}/64 in");
        let value = Expression::parse(&text).and_then(|it| it.evaluate(&Nameless::default()));
        let expected = (f64::from(whole) + f64::from(part) / 64.0) * 25.4;
        prop_assert_eq!(value, Ok(Value::length(expected)));
    }
}
