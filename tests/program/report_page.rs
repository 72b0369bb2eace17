//! The report page of the demo: what the job file sets is in the sketches and lists of the page, each plate has
//! its calculation sheet there, and all of it is small enough for a phone.

use std::fs;

use crate::support::bench::Bench;
use serde_json::Value;

const DEMO: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/part-recipes/jobs/orchard-cart.toml"
);
/// Most bytes of the page of the demo.
const MOST: usize = 300_000;
/// Keys of a part that are no dimension of its family.
const NO_DIMENSION: [&str; 7] = [
    "recipe", "name", "quantity", "material", "openings", "plates", "finish",
];

fn page_and_plates() -> (String, Vec<Value>) {
    let bench = Bench::new();
    bench.done(&["cut", DEMO, "--out", "o", "--seconds", "0"]);
    let read = |name: &str| fs::read_to_string(bench.path(&format!("o/{name}"))).expect("a file");
    let report: Value = serde_json::from_str(&read("report.json")).expect("JSON");
    let plates = report["plates"].as_array().expect("plates").clone();
    (read("report.html"), plates)
}

fn article<'a>(page: &'a str, name: &str) -> &'a str {
    let start = format!("<article class=\"plate\" id=\"plate-{name}\">");
    let rest = page
        .split_once(&start)
        .map(|it| it.1)
        .and_then(|it| it.split("</article>").next());
    rest.unwrap_or_else(|| panic!("{name} is not on the page"))
}

/// Every dimension that the job file sets stands with the part's plates: by its name in a picture where it is
/// measured, or at least in the list, which has every one.
#[test]
fn the_builders_own_values_are_in_the_sketches_of_the_page() {
    let (page, plates) = page_and_plates();
    let job = fs::read_to_string(DEMO).expect("the job");
    let job: toml::Table = job.parse().expect("TOML");
    let (mut set, mut drawn) = (0, 0);
    for part in job["part"].as_array().expect("parts") {
        let part = part.as_table().expect("a part");
        let name = part.get("name").or(part.get("recipe")).expect("a name");
        let name = name.as_str().expect("words").replace(' ', "-");
        let own = plates.iter().filter_map(|it| it["name"].as_str());
        let own: Vec<&str> = own.filter(|it| it.starts_with(&name)).collect();
        let told: String = own.iter().map(|it| article(&page, it)).collect();
        for key in part
            .keys()
            .filter(|it| !NO_DIMENSION.contains(&it.as_str()))
        {
            set += 1;
            assert!(
                told.contains(&format!("<dt><b>{key}</b> ")),
                "{name}: {key} is not listed"
            );
            // A label in a picture begins with the name, and goes on with the value.
            drawn += usize::from(told.contains(&format!(">{key} ")));
        }
    }
    assert!(set > 50, "{set}");
    // The rest are loads, bolts' classes and choices, which no edge shows.
    assert!(2 * drawn > set, "{drawn} of {set} are drawn");
}

#[test]
fn the_page_has_the_calculation_sheets() {
    let (page, plates) = page_and_plates();
    let mut sheets = 0;
    for plate in plates.iter().filter(|it| it.get("governing").is_some()) {
        let article = article(&page, plate["name"].as_str().expect("a name"));
        assert!(article.contains("<h4>Calculation sheet: "), "{plate}");
        if article.contains("The same as <a href=\"#holds-") {
            continue;
        }
        sheets += 1;
        for margin in plate["margins"].as_array().expect("margins") {
            for said in ["says", "formula", "source", "load", "carries"] {
                let said = margin[said].as_str().expect("words");
                let said = said.replace('&', "&amp;").replace('<', "&lt;");
                let said = said.replace('>', "&gt;");
                assert!(article.contains(&said), "{said}");
            }
        }
        for said in [
            ": NOT CHECKED</h5>",
            "source: ",
            "date and signature",
            "scope, ",
        ] {
            assert!(article.contains(said), "{said}");
        }
    }
    assert!(sheets > 8, "{sheets}");
}

#[test]
fn the_page_of_the_demo_is_small() {
    let (page, _) = page_and_plates();
    assert!(page.len() < MOST, "{} bytes", page.len());
}
