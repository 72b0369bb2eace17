//! Pictures of sheets that hold more than can have its name beside it: what is shown can be read, and every
//! plate has its number or is told to have none.

use platewright::export::picture::{Item, Picture};
use platewright::export::sheet_picture;
use platewright::fault::Source;
use platewright::geometry::Bounds;
use platewright::nest::{Budget, Control};
use platewright::pipeline::{self, Planned};
use platewright::recipe::{Job, Shelf};

/// A job that fills sheets, planned.
fn planned(parts: &str) -> Planned {
    let shelf = Shelf::built_in();
    let text = format!("[job]\nname = \"trays\"\n\n{parts}");
    let job = Job::from_source(&Source::inline("trays.toml", text), &shelf).expect("sound");
    let drawn = pipeline::draw(&job, &shelf).expect("plates");
    let plan = pipeline::plan(&job, drawn, &Budget::FIRST_LAYOUT, &mut |_| {
        Control::Continue
    });
    plan.expect("a plan")
}

fn words(picture: &Picture) -> Vec<(&str, Bounds)> {
    let words = picture.items.iter().filter_map(|item| match item {
        Item::Words(words) => Some((words.text.as_str(), Item::Shape(words.strokes()).bounds())),
        Item::Shape(_) => None,
    });
    words.collect()
}

const FLANGES: &str = "[[part]]\nrecipe = \"flange\"\nthickness = \"6 mm\"\nquantity = 60\n";

#[test]
fn a_crowded_sheet_shows_its_plates_by_number_with_a_list_by_kind() {
    let job = planned(&format!(
        "{FLANGES}\n[[part]]\nrecipe = \"kerf-test\"\nthickness = \"6 mm\"\nquantity = 10\n"
    ));
    let mut numbered = 0;
    for sheet in &job.sheets {
        let picture = sheet_picture(sheet, &job.plates, &job.findings);
        let words = words(&picture);
        for (i, (text, label)) in words.iter().enumerate() {
            for (other, taken) in &words[..i] {
                assert!(!label.meets(*taken), "`{text}` lies on `{other}`");
            }
        }
        let plates = sheet.placements.len();
        let shown = (1..=plates).filter(|number| {
            let number = number.to_string();
            words.iter().any(|(text, _)| *text == number)
        });
        let missing = plates - shown.count();
        let told = words
            .iter()
            .any(|(text, _)| text.ends_with("too small for a number"));
        assert_eq!(missing > 0, told, "{missing} without a number");
        numbered += plates;
        // Kind by kind, all numbers once; long lists go on in the next line.
        let list: Vec<&str> = words
            .iter()
            .skip_while(|(text, _)| !text.starts_with("Plates by kind"))
            .skip(1)
            .take_while(|(text, _)| *text != "Signs" && !text.starts_with("Each kind"))
            .map(|(text, _)| text.as_ref())
            .collect();
        let list = list.join(" ") + " ";
        let mut listed: Vec<usize> = Vec::new();
        for kind in list.split(" × ").skip(1) {
            let (_, numbers) = kind.split_once(": ").expect("its numbers");
            // The count of the next kind stands behind the last comma-free number.
            let numbers = numbers.trim_end();
            let numbers = match (numbers.rsplit_once(' '), list.trim_end().ends_with(numbers)) {
                (Some((numbers, _)), false) => numbers,
                _ => numbers,
            };
            for range in numbers.split(", ") {
                let ends: Vec<usize> = range
                    .trim_end_matches(',')
                    .split(" to ")
                    .map(|end| end.trim().parse().expect("a number"))
                    .collect();
                listed.extend(ends[0]..=ends[ends.len() - 1]);
            }
        }
        listed.sort_unstable();
        assert_eq!(listed, (1..=plates).collect::<Vec<_>>(), "{list}");
    }
    assert_eq!(numbered, 70);
}

#[test]
fn plates_are_numbered_in_the_order_in_which_they_come_free() {
    let job = planned(FLANGES);
    for sheet in &job.sheets {
        let numbers = sheet.plate_numbers();
        let outsides = sheet
            .plan
            .paths
            .iter()
            .filter(|(_, path)| path.opening.is_none());
        let order: Vec<usize> = outsides.map(|(placement, _)| numbers[*placement]).collect();
        assert_eq!(order, (1..=sheet.placements.len()).collect::<Vec<_>>());
    }
}
