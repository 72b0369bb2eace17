//! Words that a recipe scribes where there is no metal.

use super::Level;
use super::breach::Breach;
use super::subject::Subject;

/// Words that edges or openings cut short, or that lie off the plate.
pub(super) fn cut_short(subject: &Subject<'_>) -> Vec<Breach> {
    let lost = subject.plate.words_cut_short().into_iter();
    lost.map(|(words, at, lost)| {
        let message = if lost > 0.999 {
            format!("the words \"{words}\" find no metal to be scribed on")
        } else {
            let percent = (100.0 * lost).ceil();
            format!(
                "the words \"{words}\" run off the metal: {percent} % of their strokes are lost"
            )
        };
        Breach::new(Level::Warn, 1.0 - lost, at, message)
            .remedy("move them, make them smaller, or leave them out")
    })
    .collect()
}

#[cfg(test)]
mod tests {
    use crate::check::run;
    use crate::fault::Source;
    use crate::plate;
    use crate::recipe::{Family, Part};

    fn told(x: &str) -> Vec<String> {
        let recipe = format!(
            "title = \"T\"\nabout = \"t\"\n[dimension.thickness]\nsays = \"t\"\ndefault = \"6 mm\"\n[[plate]]\n\
             [[plate.step]]\nadd = \"rectangle\"\nwidth = \"100 mm\"\nheight = \"40 mm\"\n\
             [[plate.step]]\nscribe = \"text\"\ntext = \"LEFT\"\nheight = \"10 mm\"\nat = [\"{x}\", \"0 mm\"]\n"
        );
        let family = Family::read("t", &Source::inline("t.toml", recipe)).expect("a family");
        let made = plate::plates(&Part::plain(family)).expect("a plate");
        let told = run(&made.plates[0], None, &[]).into_iter();
        let told = told.filter(|it| it.check == "scribed words");
        told.map(|it| it.message).collect()
    }

    #[test]
    fn words_off_the_metal_are_told_and_words_on_it_are_not() {
        assert_eq!(told("-20 mm"), Vec::<String>::new());
        let [partly] = told("35 mm").try_into().expect("one finding");
        assert!(
            partly.starts_with("the words \"LEFT\" run off the metal: "),
            "{partly}"
        );
        assert_eq!(
            told("60 mm"),
            ["the words \"LEFT\" find no metal to be scribed on"]
        );
    }
}
