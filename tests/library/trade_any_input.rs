//! Trade functions against whatever a builder may give them: an answer or one sentence, never a
//! panic, and the same again for the same question.

use platewright::quantity::{
    Expression, Function, Mistake, Parameter, Presence, Scope, Takes, Value,
};
use platewright::trade;
use proptest::prelude::*;

/// Words near and far from what the tables know.
fn words() -> impl Strategy<Value = String> {
    prop_oneof![
        "[mM#]?[ ]?[0-9]{1,3}([./x×-][0-9]{1,3}){0,3}( ?(in|mm|\"|unc|UNF|6g))?",
        "(grade |class )?[0-9]{1,2}([.][0-9])?",
        "(mild |stainless |aluminium )?(steel|304|S355|6061-T6|copper|1018)",
        "(fine|medium|coarse|close|loose|steel|galvanised|standard|long slot|A[0-9]|ANSI [A-F])",
        "[0-9]{1,2} ?(x|on) ?[0-9]{1,3}([.][0-9]{1,2}|-[0-9]/[0-9])?( mm| in|\")?",
        ".{0,12}",
    ]
}

fn amount() -> impl Strategy<Value = f64> {
    prop_oneof![
        (0..40u32).prop_map(f64::from),
        -10.0..10.0f64,
        0.0..2000.0f64,
        Just(0.0),
        Just(-0.0),
        Just(f64::MIN_POSITIVE),
        Just(1e300),
        Just(f64::INFINITY),
        Just(f64::NAN),
    ]
}

fn value(parameter: Parameter) -> BoxedStrategy<Value> {
    match parameter.takes {
        Takes::Quantity(dimension, _) => amount()
            .prop_map(move |amount| Value::of(amount, dimension))
            .boxed(),
        Takes::AnyQuantity | Takes::Count(_) => amount().prop_map(Value::number).boxed(),
        Takes::Words => words().prop_map(Value::text).boxed(),
    }
}

/// A call of a function, and the values that it names `v0`, `v1`, … .
#[derive(Debug)]
struct Call {
    function: &'static Function,
    values: Vec<Value>,
}

impl Scope for Call {
    fn value(&self, name: &str) -> Option<Value> {
        let index: usize = name.strip_prefix('v')?.parse().ok()?;
        self.values.get(index).cloned()
    }

    fn names(&self) -> Vec<String> {
        (0..self.values.len())
            .map(|index| format!("v{index}"))
            .collect()
    }

    fn functions(&self) -> &[Function] {
        trade::functions()
    }
}

impl Call {
    /// The answer, asked for the way a recipe asks.
    fn answer(&self) -> Result<Value, Mistake> {
        let text = format!("{}({})", self.function.name, self.names().join(", "));
        Expression::parse(&text)?.evaluate(self)
    }
}

fn question() -> impl Strategy<Value = Call> {
    let functions = trade::functions();
    (0..functions.len()).prop_flat_map(move |index| {
        let function = &functions[index];
        let all: Vec<_> = function.parameters.iter().copied().map(value).collect();
        let needed = |parameter: &&Parameter| parameter.presence == Presence::Needed;
        let least = function.parameters.iter().filter(needed).count();
        (all, least..=function.parameters.len()).prop_map(move |(mut values, count)| {
            values.truncate(count);
            Call { function, values }
        })
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(8_000))]

    #[test]
    fn every_question_gets_an_answer_or_one_sentence(call in question()) {
        let answer = call.answer();
        match &answer {
            Ok(Value::Quantity(answer)) => prop_assert!(answer.amount.is_finite(), "{call:?}"),
            Ok(answer) => prop_assert!(matches!(answer, Value::Text(_)), "{call:?}"),
            Err(mistake) => prop_assert!(!mistake.message.is_empty(), "{call:?}"),
        }
        prop_assert_eq!(format!("{answer:?}"), format!("{:?}", call.answer()));
    }
}

/// With too few values, or values of another kind, a function says so too.
#[test]
fn the_wrong_number_or_kind_of_values_is_no_panic() {
    for function in trade::functions() {
        for values in [
            vec![],
            vec![Value::Truth(true); 6],
            vec![Value::text("M10"); 6],
            vec![Value::number(1.0); 6],
        ] {
            let call = Call { function, values };
            assert!(call.answer().is_err(), "{call:?}");
        }
    }
}

#[test]
fn functions_have_names_of_their_own_and_say_what_they_do() {
    let functions = trade::functions();
    for (index, function) in functions.iter().enumerate() {
        assert!(
            functions[index + 1..]
                .iter()
                .all(|other| other.name != function.name)
        );
        assert!(
            !function.says.is_empty() && !function.source.is_empty(),
            "{}",
            function.name
        );
    }
    assert!(
        trade::origins()
            .iter()
            .all(|origin| !origin.verified.is_empty())
    );
}
