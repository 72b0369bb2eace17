//! Pictures have parts with names: read by a reader of XML that is not ours, every id that the report tells
//! is in the picture, on the thing it means, and every link of the report page leads somewhere.

use std::collections::BTreeMap;
use std::fs;

use crate::support::bench::Bench;
use roxmltree::Document;
use serde_json::Value;

const DEMO: &str = concat!(
    env!("CARGO_MANIFEST_DIR"),
    "/part-recipes/jobs/orchard-cart.toml"
);

fn list(value: &Value) -> &[Value] {
    value.as_array().expect("a list")
}

fn text(value: &Value) -> &str {
    value.as_str().expect("words")
}

/// Class and title of everything with an id, all of them different; and every label says its words.
fn parts(svg: &str) -> BTreeMap<String, (String, String)> {
    let document = Document::parse(svg).expect("XML");
    let mut parts = BTreeMap::new();
    let mut labels = 0;
    for node in document.descendants() {
        let title = node.children().find(|it| it.has_tag_name("title"));
        let title = title.and_then(|it| it.text()).unwrap_or_default();
        let class = node.attribute("class").unwrap_or_default();
        if class == "label" {
            labels += 1;
            assert_eq!(node.attribute("data-says"), Some(title));
        }
        if node.has_tag_name("g") {
            assert!(!class.is_empty() && !title.is_empty(), "{node:?}");
            assert!(node.descendants().any(|it| it.has_tag_name("path")));
        }
        if let Some(id) = node.attribute("id") {
            let part = (class.to_owned(), title.to_owned());
            assert_eq!(parts.insert(id.to_owned(), part), None, "{id} twice");
        }
    }
    assert!(labels > 0);
    parts
}

fn has(parts: &BTreeMap<String, (String, String)>, id: &Value, class: &str, title: &str) {
    let found = parts.get(text(id));
    assert_eq!(found, Some(&(class.to_owned(), title.to_owned())), "{id}");
}

#[test]
fn every_id_of_the_report_is_in_its_picture_and_every_link_leads_somewhere() {
    let bench = Bench::new();
    bench.done(&["cut", DEMO, "--out", "o", "--seconds", "0"]);
    let read = |name: &str| {
        let path = bench.path(&format!("o/{name}"));
        fs::read_to_string(path).unwrap_or_else(|why| panic!("{name}: {why}"))
    };
    let report: Value = serde_json::from_str(&read("report.json")).expect("JSON");
    let mut placed = 0;
    for plate in list(&report["plates"]) {
        let name = text(&plate["name"]);
        let picture = parts(&read(&format!("plates/{name}.svg")));
        let drawing = parts(&read(&format!("drawings/{name}.svg")));
        for it in [&picture, &drawing] {
            assert_eq!(it[text(&plate["id"])].0, "plate");
            for opening in list(&plate["openings"]) {
                has(it, &opening["id"], "opening", text(&opening["name"]));
            }
        }
        for finding in list(&plate["findings"]) {
            assert_eq!(finding.get("id").is_some(), finding.get("x_mm").is_some());
            if let Some(id) = finding.get("id") {
                has(&picture, id, "finding", text(&finding["message"]));
                placed += 1;
            }
        }
    }
    assert!(placed > 0, "no finding of the demo has a place");
    for sheet in list(&report["sheets"]) {
        let picture = parts(&read(&format!("sheets/{}.svg", text(&sheet["name"]))));
        for placement in list(&sheet["placements"]) {
            let (class, title) = &picture[text(&placement["id"])];
            assert!(class == "plate" && title.starts_with(text(&placement["plate"])));
        }
        let runs = list(&sheet["runs"]);
        assert_eq!(sheet["pierces"], runs.len());
        for (number, run) in (1..).zip(runs) {
            let title = format!("run {number}: {}", text(&run["cuts"]));
            has(&picture, &run["id"], "run", &title);
        }
    }
    let page = read("report.html");
    let quoted = |before: &str| -> Vec<String> {
        let found = page.split(before).skip(1);
        let found = found.filter_map(|rest| rest.split('"').next());
        found.map(str::to_owned).collect()
    };
    let mut ids = quoted(" id=\"");
    let links = quoted("href=\"#");
    assert!(links.iter().any(|it| it.contains(".finding-")));
    for link in links {
        assert!(ids.contains(&link), "#{link} leads nowhere");
    }
    ids.sort();
    let count = ids.len();
    ids.dedup();
    assert_eq!(ids.len(), count, "an id twice in the page");
}

/// The order in which plates come free is that of the last run of each.
#[test]
fn the_list_for_the_table_goes_by_the_last_run_of_each_plate() {
    let bench = Bench::new();
    bench.done(&["cut", DEMO, "--out", "o", "--seconds", "0"]);
    let report = fs::read_to_string(bench.path("o/report.json")).expect("a report");
    let report: Value = serde_json::from_str(&report).expect("JSON");
    for sheet in list(&report["sheets"]) {
        let runs = list(&sheet["runs"]);
        let mut placements: Vec<&Value> = list(&sheet["placements"]).iter().collect();
        placements.sort_by_key(|it| it["comes_free"].as_u64());
        let outside = runs.iter().map(|it| text(&it["cuts"]));
        let outside: Vec<&str> = outside
            .filter_map(|it| it.strip_prefix("outside of "))
            .collect();
        let free = placements.iter().map(|it| text(&it["plate"]));
        let free: Vec<&str> = free.collect();
        assert_eq!(outside.len(), free.len());
        for (outside, free) in outside.iter().zip(free) {
            assert!(outside.starts_with(free), "{outside}, {free}");
        }
    }
}
