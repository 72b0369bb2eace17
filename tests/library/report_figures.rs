//! The figures of a report add up, follow from geometry and handbook densities, and read the same in
//! every face of the report.

use crate::support::cart;
use std::f64::consts::PI;

use approx::assert_relative_eq;
use platewright::cut::settings::Swirl;
use platewright::cut::{CutOff, Process, ProgramWords, SlugWork, Table};
use platewright::export::{plate_picture, sheet_picture, svg};
use platewright::finding::{Finding, Level};
use platewright::geometry::Point;
use platewright::recipe::CutOrder;
use platewright::report::page::{self, Shown, Shows};
use platewright::report::{Report, Run, cut_list, terminal};
use platewright::sheet::{CutPlate, CutSheet};
use serde_json::Value;

/// All of it, lines as long as they come.
const ALL: terminal::Showing = terminal::Showing {
    width: 1000,
    rest: None,
};

/// Carbon steel, kg/mm³ (EN 1993-1-1, 3.2.6 rounds to 7850 kg/m³).
const STEEL: f64 = 7850e-9;

fn table() -> Table {
    Table {
        title: "test table".to_owned(),
        process: Process::Plasma,
        bed: (2500.0, 1250.0),
        sheet: (2440.0, 1220.0),
        swirl: Swirl::Clockwise,
        rapid: 200.0,
        acceleration: 500.0,
        spread_heat: 0.0,
        order: CutOrder::PlateByPlate,
        slats: None,
        slugs: SlugWork::Leave,
        cut_off: CutOff::No,
        lift: None,
        hour_rate: 36.0,
        pierce_cost: 0.25,
        tabs: None,
        program: ProgramWords::default(),
        current: None,
        rows: Vec::new(),
    }
}

fn findings() -> Vec<Vec<Finding>> {
    let finding = |level, message: &str, at| Finding {
        check: "thin web".to_owned(),
        level,
        message: message.to_owned(),
        remedy: "move the hole".to_owned(),
        source: "common practice, no source".to_owned(),
        at,
    };
    vec![
        vec![
            finding(Level::Note, "a note on the adapter", None),
            finding(
                Level::Warn,
                "4 mm < 6 mm of metal",
                Some(Point::new(1.5, -0.0)),
            ),
        ],
        Vec::new(),
    ]
}

/// The plates, the sheet and the report of the cart.
fn run() -> (Vec<CutPlate>, CutSheet, Report) {
    let plates = cart::plates();
    let sheet = cart::sheet(&plates);
    let report = report_of(&plates, &sheet, "orchard cart");
    (plates, sheet, report)
}

fn report_of(plates: &[CutPlate], sheet: &CutSheet, job: &str) -> Report {
    Run {
        job,
        table: &table(),
        seed: 7,
        plates,
        findings: &findings(),
        sheets: std::slice::from_ref(sheet),
        unplaced: &[(1, 3)],
        joints: &[],
    }
    .report()
}

fn html(plates: &[CutPlate], sheet: &CutSheet, report: &Report) -> String {
    let shows = Shows {
        sheets: vec![svg(&sheet_picture(sheet, plates, &[]))],
        plates: plates
            .iter()
            .zip(findings())
            .map(|(cut, said)| Shown {
                picture: svg(&plate_picture(&cut.plate, &said)),
                ..Shown::default()
            })
            .collect(),
    };
    page::html(report, &shows).expect("the page renders")
}

/// Net area of the adapter and of the bracket, from their dimensions.
fn areas() -> (f64, f64) {
    let adapter =
        PI * (85.0_f64.powi(2) - 32.0_f64.powi(2) - 5.0 * 6.5_f64.powi(2) - 3.4_f64.powi(2));
    let slot = 30.0 * 10.0 + PI * 25.0;
    let bracket = 120.0 * 60.0 - (4.0 - PI) * 64.0 - slot;
    (adapter, bracket)
}

#[test]
fn masses_follow_from_area_thickness_and_density() {
    let (_, _, report) = run();
    let (adapter, bracket) = areas();
    assert_relative_eq!(report.plates[0].net_area_mm2, adapter, epsilon = 1e-5);
    assert_relative_eq!(
        report.plates[0].mass_kg,
        adapter * 6.0 * STEEL,
        epsilon = 1e-6
    );
    let totals = &report.totals;
    let plates = (2.0 * adapter + bracket) * 6.0 * STEEL;
    assert_relative_eq!(totals.plate_mass_kg, plates, epsilon = 1e-6);
    assert_relative_eq!(
        totals.sheet_mass_kg,
        500.0 * 400.0 * 6.0 * STEEL,
        epsilon = 1e-6
    );
    let parts = totals.plate_mass_kg + totals.remnant_mass_kg + totals.scrap_mass_kg;
    assert_relative_eq!(parts, totals.sheet_mass_kg, epsilon = 3e-6);
}

#[test]
fn use_is_net_metal_over_the_sheet_up_to_the_farthest_cut() {
    let (_, _, report) = run();
    let (adapter, bracket) = areas();
    let sheet = &report.sheets[0];
    assert_relative_eq!(sheet.used_length_mm, 460.0, epsilon = 1e-6);
    let remnant = &sheet.remnant;
    assert_relative_eq!(remnant.length_mm, 40.0, epsilon = 1e-6);
    assert_relative_eq!(remnant.width_mm, 400.0, epsilon = 1e-6);
    assert_relative_eq!(remnant.area_mm2, 16_000.0, epsilon = 1e-5);
    let expected = 100.0 * (2.0 * adapter + bracket) / (460.0 * 400.0);
    assert_relative_eq!(sheet.use_percent, expected, epsilon = 1e-6);
    assert_relative_eq!(report.totals.use_percent, expected, epsilon = 1e-6);
}

#[test]
fn cost_is_sheets_and_hours_and_pierces() {
    let (_, sheet, report) = run();
    let pierces = sheet.plan.paths.len();
    assert_eq!(report.totals.pierces, pierces);
    let expected = 40.0 + 95.0 / 3600.0 * 36.0 + 0.25 * pierces as f64;
    assert_relative_eq!(report.totals.cost, expected, epsilon = 1e-6);
}

#[test]
fn a_sheet_without_a_price_is_said_to_be_left_out_of_the_cost() {
    let (plates, sheet, report) = run();
    assert_eq!(report.totals.unpriced_sheets, 0);
    let priced = terminal::summary(&report, &ALL);
    assert!(!priced.contains("not priced"), "{priced}");
    let unpriced = CutSheet {
        price: None,
        ..sheet
    };
    let report = report_of(&plates, &unpriced, "orchard cart");
    assert_eq!(report.totals.unpriced_sheets, 1);
    let told = terminal::summary(&report, &ALL);
    assert!(told.contains("the sheet not priced"), "{told}");
}

#[test]
fn placements_carry_the_net_drawing_to_the_sheet() {
    let (plates, sheet, report) = run();
    for (figures, placement) in report.sheets[0].placements.iter().zip(&sheet.placements) {
        let plate = &plates[placement.piece].plate;
        assert_eq!(figures.plate, plate.name);
        let (sin, cos) = figures.turn_deg.to_radians().sin_cos();
        for segment in plate.face.outside.segments() {
            let there = placement.pose.point(segment.start());
            // The net drawing has the plate's datum at its origin.
            let from = plate.datum().place(segment.start());
            let x = from.x * cos - from.y * sin + figures.x_mm;
            let y = from.x * sin + from.y * cos + figures.y_mm;
            assert_relative_eq!(x, there.x, epsilon = 1e-5);
            assert_relative_eq!(y, there.y, epsilon = 1e-5);
        }
    }
}

#[test]
fn openings_say_where_they_are_and_how_they_are_made() {
    let (_, _, report) = run();
    let adapter = &report.plates[0];
    assert_eq!(adapter.openings.len(), 7);
    let bore = &adapter.openings[0];
    assert_eq!(
        (bore.purpose.as_str(), bore.diameter_mm, bore.made.as_str()),
        ("bore", Some(64.0), "cut")
    );
    let tapped = &adapter.openings[6];
    assert_eq!((tapped.x_mm, tapped.y_mm), (0.0, -70.0));
    assert_eq!(
        (tapped.thread.as_deref(), tapped.made.as_str()),
        (Some("M8"), "marked")
    );
    assert_eq!(adapter.drill_list.len(), 1);
    assert_eq!(adapter.drill_list[0].work, "drill 6.8, tap M8");
    assert_eq!(report.plates[1].openings[0].diameter_mm, None);
}

#[test]
fn report_json_has_the_agreed_fields() {
    let (_, _, report) = run();
    let json: Value = serde_json::from_str(&report.json()).expect("valid JSON");
    let has = |value: &Value, fields: &[&str]| {
        for field in fields {
            assert!(value.get(field).is_some(), "{field} is missing");
        }
    };
    has(
        &json,
        &[
            "schema",
            "platewright",
            "job",
            "seed",
            "plates",
            "sheets",
            "unplaced",
            "totals",
            "cautions",
        ],
    );
    assert_eq!(json["schema"], 1);
    let plate = &json["plates"][0];
    has(
        plate,
        &[
            "name",
            "recipe",
            "quantity",
            "material",
            "thickness_mm",
            "net_area_mm2",
            "mass_kg",
            "width_mm",
            "height_mm",
            "pierces",
            "cut_length_mm",
            "file",
            "openings",
            "drill_list",
            "findings",
        ],
    );
    has(
        &plate["findings"][1],
        &[
            "check", "level", "message", "remedy", "source", "x_mm", "y_mm",
        ],
    );
    let sheet = &json["sheets"][0];
    has(
        sheet,
        &[
            "stock",
            "material",
            "thickness_mm",
            "kerf_mm",
            "width_mm",
            "length_mm",
            "used_length_mm",
            "use_percent",
            "pierces",
            "cut_length_mm",
            "rapid_length_mm",
            "order",
            "time_s",
            "remnant",
            "file",
            "placements",
        ],
    );
    has(
        &sheet["placements"][0],
        &["plate", "copy", "x_mm", "y_mm", "turn_deg"],
    );
    has(
        &json["totals"],
        &[
            "sheets",
            "pierces",
            "cut_length_mm",
            "rapid_length_mm",
            "order",
            "plate_mass_kg",
            "sheet_mass_kg",
            "scrap_mass_kg",
            "use_percent",
            "time_s",
            "cost",
        ],
    );
    assert!(!report.json().contains("-0.0,"), "no negative zero");
}

#[test]
fn cautions_of_every_family_are_printed_once() {
    let (_, _, report) = run();
    let topics: Vec<&str> = report.cautions.iter().map(|it| it.topic).collect();
    for topic in ["safety-critical", "wheel adapters", "units", "law"] {
        let count = topics.iter().filter(|it| **it == topic).count();
        assert_eq!(count, 1, "{topic}");
    }
}

#[test]
fn the_page_stands_alone_and_says_everything() {
    let (plates, sheet, report) = run();
    let page = html(&plates, &sheet, &report);
    for expected in [
        "<html lang=\"en\">",
        "orchard cart",
        "pedal-bracket",
        "170 mm (6.693 in)",
        "4 mm &#60; 6 mm of metal",
        "wheel bolt 3",
        "drill 6.8, tap M8",
        "3 of pedal-bracket",
        "prefers-color-scheme: dark",
    ] {
        assert!(page.contains(expected), "{expected} is missing");
    }
    let outside = page
        .match_indices("http")
        .filter(|(at, _)| !page[*at..].starts_with("http://www.w3.org/2000/svg"))
        .filter(|(at, _)| !page[*at..].starts_with("http-equiv"));
    assert_eq!(outside.count(), 0, "the page reaches for the network");
    // One script of its own, which sorts lists, and leave for nothing from elsewhere.
    assert_eq!(page.matches("<script>").count(), 1);
    assert_eq!(page.matches("<script").count(), 1);
    assert!(page.contains("content=\"default-src 'none';"));
    assert_eq!(page.matches("<svg ").count(), 3);
    // A heading alone in its row is one of the column below it; one beside data would have to say which it is.
    let rows = page.split("<tr>").filter(|it| it.starts_with("<th"));
    let heads: Vec<&str> = rows.filter_map(|it| it.split("<tbody>").next()).collect();
    assert!(!heads.is_empty() && heads.iter().all(|it| !it.contains("<td")));
    let in_heads: usize = heads.iter().map(|it| it.matches("<th").count()).sum();
    assert_eq!(
        in_heads,
        page.matches("<th").count() - page.matches("<thead").count()
    );
}

#[test]
fn grave_findings_come_first_with_the_number_of_the_picture() {
    let (plates, sheet, report) = run();
    let page = html(&plates, &sheet, &report);
    // In the list of all; each plate has its own before.
    let list = page.find("<h2 id=\"findings\">").expect("the list of all");
    let in_list = |words: &str| list + page[list..].find(words).expect("it is listed");
    let warn = in_list("4 mm &#60; 6 mm");
    let note = in_list("a note on the adapter");
    assert!(warn < note);
    let row = &page[page[..warn].rfind("<tr>").expect("in a row")..warn];
    assert!(
        row.contains("#p.hub-adapter.finding-2\">2</a><td>"),
        "{row}"
    );
}

#[test]
fn words_from_people_cannot_break_the_page() {
    let (plates, sheet, _) = run();
    let report = report_of(&plates, &sheet, "<b>bold</b> & \"quoted\"");
    let page = html(&plates, &sheet, &report);
    assert!(!page.contains("<b>bold"));
}

#[test]
fn the_terminal_shows_totals_sheets_plates_and_cautions() {
    let (_, _, report) = run();
    let text = terminal::summary(&report, &ALL);
    for expected in [
        "orchard cart",
        "01-mild-steel-6mm",
        "hub-adapter",
        "no room for 3 of pedal-bracket",
        "4 mm < 6 mm of metal",
        "caution, safety-critical",
    ] {
        assert!(text.contains(expected), "{expected} is missing:\n{text}");
    }
}

#[test]
fn the_cut_list_has_a_line_for_each_plate() {
    let (_, _, report) = run();
    let text = cut_list::csv(&report);
    let lines: Vec<&str> = text.split_terminator("\r\n").collect();
    assert_eq!(lines.len(), 3);
    let columns = lines[0].split(',').count();
    assert!(lines.iter().all(|line| line.split(',').count() == columns));
    assert!(lines[1].starts_with("hub-adapter,hub-adapter,2,mild steel,6,170.000,170.000,"));
}

#[test]
fn the_same_run_gives_the_same_bytes() {
    let (plates, sheet, report) = run();
    let (more_plates, more_sheet, again) = run();
    assert!(report.json() == again.json());
    assert!(html(&plates, &sheet, &report) == html(&more_plates, &more_sheet, &again));
}

#[test]
fn the_page_tells_totals_sheets_plates_lists_and_cautions_in_that_order() {
    let (plates, sheet, report) = run();
    let page = html(&plates, &sheet, &report);
    let headings = [
        "totals",
        "sheets",
        "plates",
        "findings",
        "assumptions",
        "cautions",
        "files",
    ];
    let places = headings.map(|id| page.find(&format!("<h2 id=\"{id}\">")));
    assert!(places.iter().all(Option::is_some), "{places:?}");
    assert!(places.is_sorted());
}

/// What stock by the kilogram costs: length times width times thickness, the density (carbon steel
/// 7850 kg/m³, EN 1993-1-1, 3.2.6; aluminium 5052 2680 kg/m³, Aluminum Association), and the rate.
#[test]
fn stock_by_the_kilogram_costs_its_mass() {
    use platewright::fault::Source;
    use platewright::nest::{Budget, Control};
    use platewright::pipeline;
    use platewright::recipe::{Job, Shelf};
    let text = r#"
        [job]
        table = "shop-laser"
        [[stock]]
        thickness = "6 mm"
        size = ["1000 mm", "500 mm"]
        price_per_kg = 1.4
        [[stock]]
        material = "aluminium 5052"
        thickness = "3 mm"
        size = ["500 mm", "400 mm"]
        price_per_kg = 5
        [[part]]
        recipe = "flange"
        thickness = "6 mm"
        [[part]]
        recipe = "flange"
        material = "aluminium 5052"
        thickness = "3 mm"
    "#;
    let shelf = Shelf::built_in();
    let job = Job::from_source(&Source::inline("job.toml", text), &shelf).expect("a job");
    let drawn = pipeline::draw(&job, &shelf).expect("plates");
    let planned = pipeline::plan(&job, drawn, &Budget::FIRST_LAYOUT, &mut |_| {
        Control::Continue
    });
    let planned = planned.expect("a plan");
    // 1.0 · 0.5 · 0.006 m³ · 7850 kg/m³ = 23.55 kg, at 1.4: 32.97.
    // 0.5 · 0.4 · 0.003 m³ · 2680 kg/m³ = 1.608 kg, at 5: 8.04.
    let prices: Vec<f64> = planned
        .sheets
        .iter()
        .filter_map(|sheet| sheet.price)
        .collect();
    assert_eq!(prices.len(), 2);
    assert_relative_eq!(prices[0], 32.97, epsilon = 1e-9);
    assert_relative_eq!(prices[1], 8.04, epsilon = 1e-9);
    let report = planned.report();
    assert_relative_eq!(report.totals.sheet_mass_kg, 23.55 + 1.608, epsilon = 1e-6);
    // The sheets, the machine by the hour, and what each pierce wears.
    let totals = &report.totals;
    let machine = totals.time_s / 3600.0 * 120.0 + totals.pierces as f64 * 0.05;
    assert_relative_eq!(totals.cost, 32.97 + 8.04 + machine, epsilon = 1e-5);
}

/// On a phone each cell of a list that is folded to cards has its column's heading before it, from the
/// style: the same words in the same order as in the table's head.
#[test]
fn cards_have_the_headings_of_their_columns() {
    let (plates, sheet, report) = run();
    let page = html(&plates, &sheet, &report);
    let mut seen = 0;
    for class in ["cut-list", "openings", "said"] {
        let table = page
            .split("<table class=\"sortable cards ")
            .find(|it| it.starts_with(class))
            .expect("the table");
        let head = table.split("<tbody>").next().expect("a head");
        let heads = head
            .split("<tr>")
            .nth(1)
            .expect("a row")
            .split("<th")
            .skip(1)
            .map(|it| {
                let words = it.split_once('>').expect("a cell").1;
                words.split('<').next().expect("words").trim()
            });
        for (column, words) in (1..).zip(heads) {
            let rule =
                format!(".{class} td:nth-child({column})::before {{ content: \"{words}: \"; }}");
            assert!(page.contains(&rule), "{rule}");
            seen += 1;
        }
    }
    assert_eq!(seen, 9 + 6 + 6);
}
