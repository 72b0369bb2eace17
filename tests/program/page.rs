//! The page at the bench, asked as a browser asks, over a socket: what it refuses, what it writes, and that
//! its answers are the commands' own.

#![cfg(unix)]

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::time::Duration;

use serde_json::{Value, json};

use crate::support::bench::{Bench, tree};

/// A page that is served.
struct Served {
    child: Child,
    port: u16,
}

/// What came back.
struct Reply {
    status: u16,
    head: String,
    body: Vec<u8>,
}

impl Reply {
    fn text(&self) -> String {
        String::from_utf8_lossy(&self.body).into_owned()
    }

    fn object(&self) -> Value {
        assert_eq!(self.status, 200, "{}", self.text());
        serde_json::from_slice(&self.body).expect("JSON")
    }
}

impl Served {
    fn new(bench: &Bench) -> Self {
        Self::with(bench, &[]).0
    }

    /// With options, and what it prints: the first line, or all of it as JSON.
    fn with(bench: &Bench, options: &[&str]) -> (Self, String) {
        let mut child = Command::new(env!("CARGO_BIN_EXE_platewright"))
            .args(["page", "--no-open"])
            .args(options)
            .current_dir(bench.path("."))
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program starts");
        let mut line = String::new();
        let mut printed = String::new();
        let mut out = BufReader::new(child.stdout.take().expect("a pipe"));
        // One line, or an object over several.
        while printed.is_empty() || (printed.starts_with('{') && !printed.ends_with("\n}\n")) {
            line.clear();
            assert!(
                out.read_line(&mut line).expect("its address") > 0,
                "it ended: {printed}"
            );
            printed.push_str(&line);
        }
        let port = printed
            .split("http://127.0.0.1:")
            .nth(1)
            .and_then(|it| it.split('/').next())
            .and_then(|it| it.parse().ok());
        let port = port.unwrap_or_else(|| panic!("no address: {printed}"));
        (Self { child, port }, printed)
    }

    fn connected(&self) -> TcpStream {
        let stream = TcpStream::connect(("127.0.0.1", self.port)).expect("it listens");
        let patience = Some(Duration::from_secs(120));
        stream.set_read_timeout(patience).expect("a timeout");
        stream
    }

    fn ask(&self, method: &str, path: &str, headers: &[(&str, &str)], body: &[u8]) -> Reply {
        let mut head = format!("{method} {path} HTTP/1.1\r\nConnection: close\r\n");
        let has = |name: &str| headers.iter().any(|it| it.0 == name);
        if !has("Host") {
            head.push_str(&format!("Host: 127.0.0.1:{}\r\n", self.port));
        }
        if !has("Content-Length") && method == "POST" {
            head.push_str(&format!("Content-Length: {}\r\n", body.len()));
        }
        for (name, value) in headers {
            head.push_str(&format!("{name}: {value}\r\n"));
        }
        let mut stream = self.connected();
        stream.write_all(head.as_bytes()).expect("sent");
        stream.write_all(b"\r\n").expect("sent");
        // A server that refuses may have closed already.
        let _ = stream.write_all(body);
        let mut reply = Vec::new();
        let _ = stream.read_to_end(&mut reply);
        let split = reply.windows(4).position(|it| it == b"\r\n\r\n");
        let split = split.expect("a head");
        let head = String::from_utf8_lossy(&reply[..split]).into_owned();
        let status = head.split(' ').nth(1).and_then(|it| it.parse().ok());
        Reply {
            status: status.expect("a status"),
            head,
            body: reply[split + 4..].to_vec(),
        }
    }

    fn get(&self, path: &str) -> Reply {
        self.ask("GET", path, &[], b"")
    }

    fn post(&self, path: &str, what: &Value) -> Reply {
        let origin = format!("http://127.0.0.1:{}", self.port);
        let headers = [
            ("Content-Type", "application/json"),
            ("Origin", origin.as_str()),
            ("Sec-Fetch-Site", "same-origin"),
        ];
        self.ask("POST", path, &headers, what.to_string().as_bytes())
    }

    fn edit(&self, file: &str, key: &str, text: &str, was: &str, checksum: &str) -> Value {
        let patch = json!({
            "block": "whole", "key": key, "text": text, "was": was, "checksum": checksum,
        });
        let asked = json!({ "file": file, "page": "whole", "patch": patch });
        self.post("/edit", &asked).object()
    }

    fn now(&self, file: &str, focus: Option<&str>) -> Value {
        let asked =
            json!({ "ask": "try", "file": file, "block": "whole", "patch": null, "focus": focus });
        self.post("/try", &asked).object()
    }

    /// Ends it as Ctrl-C does, and gives what it said of refusals.
    fn ended(mut self) -> String {
        let sent = Command::new("kill")
            .args(["-INT", &self.child.id().to_string()])
            .status();
        assert!(sent.expect("kill is there").success());
        let code = self.child.wait().expect("it ends").code();
        assert_eq!(code, Some(0));
        let mut said = String::new();
        let mut err = self.child.stderr.take().expect("a pipe");
        err.read_to_string(&mut said).expect("words");
        said
    }
}

impl Drop for Served {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Events of a window that is open.
fn listening(served: &Served) -> BufReader<TcpStream> {
    let mut stream = served.connected();
    let asked = format!(
        "GET /events HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n\r\n",
        served.port
    );
    stream.write_all(asked.as_bytes()).expect("sent");
    let mut events = BufReader::new(stream);
    let mut line = String::new();
    while line != "\r\n" {
        line.clear();
        events.read_line(&mut line).expect("a head");
    }
    events
}

/// The data of the first event that has some words.
fn heard(events: &mut BufReader<TcpStream>, words: &str) -> String {
    let mut line = String::new();
    loop {
        line.clear();
        assert!(
            events.read_line(&mut line).expect("an event in time") > 0,
            "it ended"
        );
        if line.starts_with("data:") && line.contains(words) {
            return line;
        }
    }
}

const FLANGE: &str =
    "# measured on the gearbox\nrecipe = \"flange\"\noutside = \"7 in\" # by caliper\n";

/// Method, path, headers beside the usual, and the answer that is wanted.
type Refused<'a> = (&'a str, &'a str, &'a [(&'a str, &'a str)], u16);

#[test]
fn what_does_not_come_from_the_page_is_refused_and_told() {
    let bench = Bench::new();
    bench.write("flange.toml", FLANGE);
    bench.write("secret.txt", "not for the page");
    std::fs::create_dir_all(bench.path("out")).expect("a folder");
    std::os::unix::fs::symlink(bench.path("secret.txt"), bench.path("out/link.txt"))
        .expect("a link");
    let outside = tempfile::tempdir().expect("a folder");
    std::fs::write(outside.path().join("far.toml"), FLANGE).expect("a file");
    std::os::unix::fs::symlink(outside.path().join("far.toml"), bench.path("far.toml"))
        .expect("a link");
    let served = Served::new(&bench);
    let own = format!("http://127.0.0.1:{}", served.port);
    let json = ("Content-Type", "application/json");
    let edit = json!({ "file": "flange.toml", "page": "whole", "patch": {
        "block": "whole", "key": "outside", "text": "9 in", "was": "7 in", "checksum": "" } });
    let edit = edit.to_string();
    let refused: [Refused; 12] = [
        ("GET", "/", &[("Host", "rebound.example")], 403),
        ("GET", "/", &[("Host", "127.0.0.1:1")], 403),
        ("GET", "/", &[("Sec-Fetch-Site", "cross-site")], 403),
        ("GET", "/out/%2e%2e/secret.txt", &[], 404),
        ("GET", "/out/../secret.txt", &[], 404),
        ("GET", "/out/link.txt", &[], 404),
        ("GET", "/out//etc/passwd", &[], 404),
        ("GET", "/file/far.toml", &[], 404),
        (
            "POST",
            "/edit",
            &[json, ("Origin", "http://other.example")],
            403,
        ),
        (
            "POST",
            "/edit",
            &[json, ("Sec-Fetch-Site", "same-site")],
            403,
        ),
        ("POST", "/edit", &[("Content-Type", "text/plain")], 403),
        ("POST", "/edit", &[json, ("Origin", "null")], 403),
    ];
    for (method, path, headers, status) in refused {
        let reply = served.ask(method, path, headers, edit.as_bytes());
        assert_eq!(
            reply.status,
            status,
            "{method} {path} {headers:?}: {}",
            reply.text()
        );
        assert!(!reply.text().contains("not for the page"));
    }
    let large = vec![b' '; 65 * 1024];
    let headers = [json, ("Origin", own.as_str())];
    assert_eq!(served.ask("POST", "/edit", &headers, &large).status, 413);
    assert_eq!(
        served
            .ask("POST", "/edit", &headers, b"{\"file\":1}")
            .status,
        400
    );
    assert_eq!(served.ask("POST", "/do", &headers, b"\xff\xfe").status, 400);
    let text = std::fs::read_to_string(bench.path("flange.toml")).expect("the file");
    assert_eq!(text, FLANGE);
    let said = served.ended();
    for words in [
        "for another host",
        "from another site",
        "did not come from the page",
        "leads out of the folder",
        "too large",
    ] {
        assert!(said.contains(words), "{words}: {said}");
    }
}

#[test]
fn every_reply_keeps_to_this_machine() {
    let bench = Bench::new();
    bench.write("flange.toml", FLANGE);
    bench.done(&["cut", "flange.toml", "--seconds", "0"]);
    let served = Served::new(&bench);
    for path in [
        "/",
        "/file/flange.toml",
        "/static/page.js",
        "/static/page.css",
        "/picture/flange.toml",
        "/shelf/flange",
        "/table",
        "/out/report.html",
        "/no/such/page",
    ] {
        let reply = served.get(path);
        let head = reply.head.to_lowercase();
        for wanted in [
            "content-security-policy: default-src 'none'",
            "x-content-type-options: nosniff",
            "referrer-policy: no-referrer",
            "frame-ancestors 'none'",
        ] {
            assert!(head.contains(wanted), "{path}: {head}");
        }
        assert!(!head.contains("script-src 'unsafe"), "{path}");
        assert!(
            !reply.text().contains("http://")
                || path.starts_with("/out")
                || reply
                    .text()
                    .replace("http://www.w3.org/2000/svg", "")
                    .matches("http")
                    .count()
                    == 0,
            "{path}"
        );
    }
    let light = |path: &str| served.get(path).body.len();
    // As wanted: style and script under 60 KB, the first view with them under 100 KB.
    let both = light("/static/page.js") + light("/static/page.css");
    assert!(both < 60 * 1024, "{both}");
    assert!(both + light("/") < 100 * 1024);
}

#[test]
fn an_edit_is_one_value_in_the_file_and_can_be_undone() {
    let bench = Bench::new();
    bench.write("flange.toml", FLANGE);
    let served = Served::new(&bench);
    let read = || std::fs::read_to_string(bench.path("flange.toml")).expect("the file");
    let first = served.now("flange.toml", None);
    assert_eq!(first["typed"]["outside"], "7 in");
    let told = served.edit(
        "flange.toml",
        "outside",
        "190 mm",
        "7 in",
        first["checksum"].as_str().expect("words"),
    );
    assert_eq!(told["typed"]["outside"], "190 mm");
    assert_eq!(read(), FLANGE.replace("7 in", "190 mm"));
    // What is only tried is written nowhere.
    let tried = json!({ "ask": "try", "file": "flange.toml", "block": "whole", "focus": null, "patch": {
        "block": "whole", "key": "outside", "text": "8 in", "was": "190 mm", "checksum": told["checksum"] } });
    let tried = served.post("/try", &tried).object();
    assert!(
        tried["parts"]["pictures"]
            .as_str()
            .expect("a picture")
            .contains("203.2 mm")
    );
    assert_eq!(read(), FLANGE.replace("7 in", "190 mm"));
    let back = json!({ "file": "flange.toml", "page": "whole" });
    assert_eq!(
        served.post("/undo", &back).object()["typed"]["outside"],
        "7 in"
    );
    assert_eq!(read(), FLANGE);
    let said = served.post("/undo", &back).object();
    assert!(
        said["said"]
            .as_str()
            .is_some_and(|it| it.contains("nothing of flange.toml")),
        "{said}"
    );
}

#[test]
fn two_who_change_one_value_are_told_and_neither_is_lost() {
    let bench = Bench::new();
    bench.write("flange.toml", FLANGE);
    let served = Served::new(&bench);
    let begun = served.now("flange.toml", None)["checksum"]
        .as_str()
        .expect("words")
        .to_owned();
    // An editor changes the same value meanwhile.
    let theirs = FLANGE.replace("7 in", "8 in");
    bench.write("flange.toml", &theirs);
    let told = served.edit("flange.toml", "outside", "9 in", "7 in", &begun);
    let clash = told["clash"]["html"].as_str().expect("a clash");
    assert!(clash.contains("8 in") && clash.contains("9 in"), "{clash}");
    let read = || std::fs::read_to_string(bench.path("flange.toml")).expect("the file");
    assert_eq!(read(), theirs);
    // Whoever typed here insists, knowing both.
    let now = told["clash"]["checksum"].as_str().expect("words");
    served.edit("flange.toml", "outside", "9 in", "8 in", now);
    assert_eq!(read(), FLANGE.replace("7 in", "9 in"));
    // Another value changed meanwhile is no clash: both stand.
    let both = read().replace(
        "recipe = \"flange\"\n",
        "recipe = \"flange\"\nbolt_count = 8\n",
    );
    bench.write("flange.toml", &both);
    let told = served.edit("flange.toml", "outside", "10 in", "9 in", now);
    assert!(told.get("clash").is_none(), "{told}");
    assert_eq!(read(), both.replace("9 in", "10 in"));
    // And what another wrote is not undone from here.
    bench.write("flange.toml", &both);
    let back = json!({ "file": "flange.toml", "page": "whole" });
    let said = served.post("/undo", &back).object();
    assert!(
        said["said"]
            .as_str()
            .is_some_and(|it| it.contains("changed elsewhere")),
        "{said}"
    );
    assert_eq!(read(), both);
}

#[test]
fn a_change_in_an_editor_is_told_to_every_window() {
    let bench = Bench::new();
    bench.write("flange.toml", FLANGE);
    let served = Served::new(&bench);
    let mut windows = [listening(&served), listening(&served)];
    // The watch looks at the folder before it can see a change.
    std::thread::sleep(Duration::from_millis(600));
    bench.write("flange.toml", &FLANGE.replace("7 in", "10-1/2 in"));
    for window in &mut windows {
        heard(window, "flange.toml");
    }
    assert_eq!(
        served.now("flange.toml", None)["typed"]["outside"],
        "10-1/2 in"
    );
}

#[test]
fn parts_are_begun_as_the_command_begins_them_and_copied_and_renamed() {
    let bench = Bench::new();
    let served = Served::new(&bench);
    for family in ["hub-adapter", "steering-arm", "kerf-test"] {
        let asked = json!({ "ask": "begin", "recipe": family, "name": format!("my {family}") });
        let told = served.post("/do", &asked).object();
        assert_eq!(told["go"], format!("/file/my%20{family}.toml"));
        let file = format!("my {family}.toml");
        let made = std::fs::read_to_string(bench.path(&file)).expect("the file");
        assert!(made.contains(&format!("\nname = \"my {family}\"\n")));
        let by_command = format!("by command/{file}");
        bench.done(&["start", family, "--out", &by_command]);
        let by_command = std::fs::read_to_string(bench.path(&by_command)).expect("the file");
        assert_eq!(made, by_command);
        assert_eq!(served.get(told["go"].as_str().expect("words")).status, 200);
    }
    let copied = json!({ "ask": "duplicate", "file": "my kerf-test.toml", "name": "piece" });
    assert_eq!(
        served.post("/do", &copied).object()["go"],
        "/file/piece.toml"
    );
    let renamed = json!({ "ask": "rename", "file": "piece.toml", "name": "first piece" });
    assert_eq!(served.post("/do", &renamed).object()["go"], "/");
    assert!(!bench.path("piece.toml").exists() && bench.path("first piece.toml").exists());
    for name in [
        "../out",
        "a/b",
        ".hidden",
        "",
        "my kerf-test",
        "a\\b",
        "x\u{0}",
    ] {
        let asked = json!({ "ask": "duplicate", "file": "first piece.toml", "name": name });
        let told = served.post("/do", &asked).object();
        assert!(
            told["said"].is_string() && told.get("go").is_none(),
            "{name}: {told}"
        );
    }
    let folder = served.get("/").text();
    assert!(folder.contains("first%20piece.toml") && folder.contains("Steering arm"));
}

#[test]
fn the_page_of_a_part_says_and_draws_what_the_commands_do() {
    let bench = Bench::new();
    let text = "recipe = \"steering-arm\"\nthickness = \"6 mm\"\n";
    bench.write("arm.toml", text);
    bench.run(&["draw", "arm.toml", "--out", "drawn"]);
    let told = bench.json(&["check", "arm.toml", "--json"]);
    let served = Served::new(&bench);
    let page = served.get("/file/arm.toml").text();
    for plate in told["plates"].as_array().expect("plates") {
        let name = plate["name"].as_str().expect("a name");
        let picture = bench.path(&format!("drawn/plates/{name}.svg"));
        let picture = std::fs::read_to_string(picture).expect("a picture");
        assert!(page.contains(&picture), "{name}");
        let spoken = |it: &Value| {
            it.as_str()
                .expect("words")
                .replace('\'', "&#39;")
                .replace('"', "&#34;")
                .replace('<', "&#60;")
                .replace('>', "&#62;")
        };
        for finding in plate["findings"].as_array().expect("findings") {
            assert!(page.contains(&spoken(&finding["message"])), "{finding}");
        }
        assert!(
            page.contains(&spoken(&plate["governing"])),
            "{}",
            plate["governing"]
        );
        for caution in plate["cautions"].as_array().expect("cautions") {
            assert!(page.contains(&spoken(&caution["text"])), "{caution}");
        }
    }
    assert!(page.contains("people can die"));
}

#[test]
fn a_rule_that_is_broken_stands_at_the_field_that_mends_it_with_the_value_to_set() {
    let bench = Bench::new();
    bench.write(
        "flange.toml",
        "recipe = \"flange\"\nbolt_circle = \"114.3 mm\"\noutside = \"130 mm\"\n",
    );
    let served = Served::new(&bench);
    let now = served.now("flange.toml", None);
    let note = now["parts"]["note-outside"].as_str().expect("a note");
    assert!(
        note.contains("refuse") && note.contains("too near the rim"),
        "{note}"
    );
    let fix = note
        .split("data-fix=\"")
        .nth(1)
        .and_then(|it| it.split('"').next());
    let fix = fix.expect("a value to set");
    let told = served.edit(
        "flange.toml",
        "outside",
        fix,
        "130 mm",
        now["checksum"].as_str().expect("words"),
    );
    let note = told["parts"]["note-outside"].as_str().expect("a note");
    assert!(!note.contains("refuse"), "{note}");
    bench.done(&["check", "flange.toml"]);
    // What cannot be read is told at its field too, and the pictures are said to be of before.
    let told = served.edit(
        "flange.toml",
        "bolt_circle",
        "4-1/",
        "114.3 mm",
        told["checksum"].as_str().expect("words"),
    );
    assert_eq!(told["stale"], true);
    assert!(
        told["parts"]["note-bolt_circle"]
            .as_str()
            .is_some_and(|it| it.contains("refuse")),
        "{told}"
    );
}

#[test]
fn the_edges_that_a_dimension_moves_are_strong_while_it_has_the_focus() {
    let bench = Bench::new();
    bench.write("flange.toml", FLANGE);
    let served = Served::new(&bench);
    let strong = |focus| {
        let now = served.now("flange.toml", focus);
        let pictures = now["parts"]["pictures"]
            .as_str()
            .expect("pictures")
            .to_owned();
        pictures.matches("fill=\"none\" stroke=\"#a84300\"").count()
    };
    assert_eq!(strong(None), 0);
    // The outside is one circle of two arcs at most; six bolt holes move with their circle, no other edge.
    let outside = strong(Some("outside"));
    assert!((1..=2).contains(&outside), "{outside}");
    assert_eq!(strong(Some("bolt_circle")), 6 * outside);
    assert_eq!(strong(Some("no_such_dimension")), 0);
}

#[test]
fn cut_draw_and_paper_write_what_the_commands_write() {
    let bench = Bench::new();
    let cart = include_str!("../../part-recipes/jobs/orchard-cart.toml");
    bench.write("cart.toml", cart);
    bench.done(&["cut", "cart.toml", "--seconds", "0", "--out", "by-command"]);
    let served = Served::new(&bench);
    let mut window = listening(&served);
    served
        .post("/work/cut", &json!({ "file": "cart.toml", "seconds": 0 }))
        .object();
    heard(&mut window, "\"written\":\"<p>Wrote");
    let (ours, theirs) = (tree(&bench.path("out")), tree(&bench.path("by-command")));
    assert_eq!(
        ours.keys().collect::<Vec<_>>(),
        theirs.keys().collect::<Vec<_>>()
    );
    for (path, bytes) in &ours {
        assert!(theirs[path] == *bytes, "{path}");
    }
    // The report can be opened from the page, and the sheets can be worked by.
    assert_eq!(served.get("/out/report.html").body, theirs["report.html"]);
    let sheet = served.get("/table/1").text();
    assert!(
        sheet.contains("Sheet 1 of") && sheet.contains("type=\"checkbox\""),
        "{sheet}"
    );
    for (what, words) in [
        ("draw", ["draw", "flange.toml"]),
        ("paper", ["paper", "flange.toml"]),
    ] {
        bench.write("flange.toml", FLANGE);
        let _ = std::fs::remove_dir_all(bench.path("out"));
        let told = served
            .post(
                &format!("/work/{what}"),
                &json!({ "file": "flange.toml", "seconds": null }),
            )
            .object();
        assert!(
            told["parts"]["written"]
                .as_str()
                .is_some_and(|it| it.contains("Wrote")),
            "{told}"
        );
        let ours = tree(&bench.path("out"));
        let folder = format!("{what}-by-command");
        bench.done(&[&words[..], &["--out", &folder]].concat());
        assert!(ours == tree(&bench.path(&folder)), "{what}");
        assert!(!ours.is_empty());
    }
}

#[test]
fn a_search_tells_how_far_it_is_and_keeps_the_best_when_it_is_stopped() {
    let bench = Bench::new();
    let cart = include_str!("../../part-recipes/jobs/orchard-cart.toml");
    bench.write("cart.toml", cart);
    let served = Served::new(&bench);
    let mut window = listening(&served);
    let asked = json!({ "file": "cart.toml", "seconds": 600 });
    served.post("/work/lay-out", &asked).object();
    heard(&mut window, "\"look\":true");
    let so_far = served.post("/work/shown", &asked).object();
    let so_far = so_far["parts"]["sheets"].as_str().expect("pictures");
    assert!(
        so_far.contains("the best layout so far") && !so_far.contains("Use of the sheet"),
        "{so_far}"
    );
    let busy = served.post("/work/lay-out", &asked).object();
    assert!(
        busy["said"]
            .as_str()
            .is_some_and(|it| it.contains("already")),
        "{busy}"
    );
    served.post("/work/stop", &asked).object();
    let told = heard(&mut window, "\"sheets\":");
    assert!(told.contains("<svg") && told.contains("Use of the sheet"));
    assert!(!bench.path("out").exists(), "laying out writes nothing");
    let again = served.post("/work/shown", &asked).object();
    assert!(
        again["parts"]["sheets"]
            .as_str()
            .is_some_and(|it| it.contains("<svg"))
    );
}

#[test]
fn a_plain_plate_is_edited_by_the_keys_it_has() {
    let bench = Bench::new();
    bench.write(
        "tab.toml",
        "shape = \"rectangle\"\nwidth = \"80 mm\" # as measured\nheight = \"40 mm\"\nthickness = \"6 mm\"\n\
         holes = [{ diameter = \"9 mm\", at = [\"20 mm\", \"20 mm\"] }]\n",
    );
    let served = Served::new(&bench);
    let page = served.get("/file/tab.toml").text();
    for key in ["width", "height", "holes"] {
        assert!(page.contains(&format!("name=\"{key}\"")), "{key}: {page}");
    }
    let checksum = page.split("data-checksum=\"").nth(1).expect("a checksum");
    let checksum = checksum.split('"').next().expect("a checksum").to_owned();
    // It is told what parts are made of, also those of another job.
    bench.write(
        "cart.toml",
        "[[part]]\njob = \"tab.toml\"\npart = \"rectangle\"\n",
    );
    assert!(served.get("/").text().contains("rectangle"));
    let listed = served.get("/file/cart.toml").text();
    assert!(listed.contains("rectangle of tab.toml"), "{listed}");
    let edit = |key: &str, text: &str, was: &str| {
        let patch =
            json!({ "block": "whole", "key": key, "text": text, "was": was, "checksum": checksum });
        let asked = json!({ "file": "tab.toml", "page": "whole", "patch": patch });
        served.post("/edit", &asked).object()
    };
    let told = edit("width", "90 mm", "80 mm");
    assert!(
        told["parts"]["pictures"]
            .as_str()
            .is_some_and(|it| it.contains("90 mm")),
        "{told}"
    );
    let hole = "[{ diameter = \"11 mm\", at = [\"20 mm\", \"20 mm\"] }]";
    edit(
        "holes",
        hole,
        "[{ diameter = \"9 mm\", at = [\"20 mm\", \"20 mm\"] }]",
    );
    let text = std::fs::read_to_string(bench.path("tab.toml")).expect("the part");
    assert!(
        text.contains("width = \"90 mm\" # as measured") && text.contains(hole),
        "{text}"
    );
    let asked = json!({ "ask": "distance", "file": "tab.toml", "block": "whole", "plate": 0,
        "from": "datum", "to": "90 mm, 0 mm" });
    let told = served.post("/try", &asked).object();
    assert!(
        told["parts"]["distance"]
            .as_str()
            .is_some_and(|it| it.contains("<strong>90 mm")),
        "{told}"
    );
}

#[test]
fn ticks_stay_until_the_sheets_are_others() {
    let bench = Bench::new();
    bench.write("flange.toml", FLANGE);
    bench.done(&["cut", "flange.toml", "--seconds", "0"]);
    let served = Served::new(&bench);
    let page = served.get("/table").text();
    let between = |text: &str, from: &str| {
        let rest = text
            .split(from)
            .nth(1)
            .unwrap_or_else(|| panic!("no {from}: {text}"));
        rest.split('"').next().unwrap_or_default().to_owned()
    };
    let (sheets, tick) = (
        between(&page, "data-sheets=\""),
        between(&page, "data-tick=\""),
    );
    assert!(!page.contains(" checked"));
    // The bore and the outside: the bolt holes are drilled.
    assert!(page.contains("flange, copy 1: runs 1, 2<"), "{page}");
    let asked = json!({ "ask": "tick", "tick": tick, "done": true, "sheets": sheets });
    served.post("/tick", &asked).object();
    assert_eq!(served.get("/table").text().matches(" checked").count(), 1);
    // The same cut again leaves them; another plate does not.
    bench.done(&["cut", "flange.toml", "--seconds", "0"]);
    assert_eq!(served.get("/table").text().matches(" checked").count(), 1);
    bench.write("flange.toml", &FLANGE.replace("7 in", "8 in"));
    bench.done(&["cut", "flange.toml", "--seconds", "0"]);
    assert_eq!(served.get("/table").text().matches(" checked").count(), 0);
    let late = served.post("/tick", &asked).object();
    assert!(
        late["said"]
            .as_str()
            .is_some_and(|it| it.contains("cut anew")),
        "{late}"
    );
}

#[test]
fn a_job_gains_and_loses_parts_and_sheets() {
    let bench = Bench::new();
    bench.write("front.toml", FLANGE);
    let served = Served::new(&bench);
    served
        .post("/do", &json!({ "ask": "begin", "name": "trolley" }))
        .object();
    let job = |told: &Value| told["checksum"].as_str().expect("a checksum").to_owned();
    let now = || {
        served
            .post("/try", &json!({ "ask": "job", "file": "trolley.toml" }))
            .object()
    };
    assert!(
        now()["parts"]["faults"]
            .as_str()
            .is_some_and(|it| it.contains("no parts"))
    );
    let add = |like: &str, on: &str| {
        let asked =
            json!({ "ask": "add-part", "file": "trolley.toml", "like": like, "checksum": on });
        served.post("/do", &asked).object()
    };
    let told = add("hub-adapter", &job(&now()));
    let told = add("front.toml", &job(&told));
    let stock = json!({ "ask": "add-stock", "file": "trolley.toml", "thickness": "10 mm",
        "size": "1220 mm x 2440 mm", "checksum": job(&told) });
    let told = served.post("/do", &stock).object();
    assert_eq!(told["parts"]["faults"], "", "{told}");
    let text = std::fs::read_to_string(bench.path("trolley.toml")).expect("the job");
    assert!(
        text.contains("outside = \"7 in\"") && text.contains("[\"1220 mm\", \"2440 mm\"]"),
        "{text}"
    );
    bench.run(&["check", "trolley.toml"]);
    // A click on a page that is out of date takes out nothing.
    let remove = |on: &str| {
        let asked =
            json!({ "ask": "remove", "file": "trolley.toml", "block": "part-0", "checksum": on });
        served.post("/do", &asked).object()
    };
    assert!(remove("long ago")["said"].is_string());
    let told = remove(&job(&told));
    let lists = told["parts"]["lists"].as_str().expect("lists");
    assert!(
        lists.contains("flange") && !lists.contains("hub-adapter"),
        "{lists}"
    );
}

#[test]
fn a_phone_is_let_in_once_to_look_and_tick_off() {
    let bench = Bench::new();
    bench.write("flange.toml", FLANGE);
    bench.done(&["cut", "flange.toml", "--seconds", "0"]);
    let (served, printed) = Served::with(&bench, &["--phone", "--json"]);
    let printed: Value = serde_json::from_str(&printed).expect("an object");
    let address = printed["phone"].as_str().expect("an address");
    let rest = address.strip_prefix("http://").expect("plain HTTP");
    let (host, word) = rest.split_once("/enter/").expect("a word");
    let from_phone = |method: &str, path: &str, more: &[(&str, &str)]| {
        let headers = [
            &[("Host", host), ("Content-Type", "application/json")],
            more,
        ]
        .concat();
        served.ask(method, path, &headers, b"{}")
    };
    assert_eq!(from_phone("GET", "/table", &[]).status, 403);
    assert_eq!(from_phone("GET", "/enter/guessed", &[]).status, 403);
    let entered = from_phone("GET", &format!("/enter/{word}"), &[]);
    assert_eq!(entered.status, 303);
    let cookie = entered.head.split("set-cookie: ").nth(1).expect("a cookie");
    let cookie = cookie.split(';').next().expect("its value").to_owned();
    assert_eq!(
        from_phone("GET", &format!("/enter/{word}"), &[]).status,
        403
    );
    let known = [("Cookie", cookie.as_str())];
    assert_eq!(from_phone("GET", "/table", &known).status, 200);
    assert_eq!(
        from_phone("GET", "/table", &[("Cookie", "at-the-bench=guessed")]).status,
        403
    );
    for path in ["/edit", "/do", "/undo", "/work/cut"] {
        let reply = from_phone("POST", path, &known);
        assert_eq!(reply.status, 403, "{path}");
        assert!(reply.text().contains("--phone=edit"), "{}", reply.text());
    }
    // It may tick off; that this is no tick is another matter.
    assert_eq!(from_phone("POST", "/tick", &known).status, 400);
    assert_eq!(served.get("/").status, 200);
    let (served, printed) = Served::with(&bench, &["--phone=edit", "--json"]);
    let printed: Value = serde_json::from_str(&printed).expect("an object");
    let rest = printed["phone"]
        .as_str()
        .and_then(|it| it.strip_prefix("http://"))
        .expect("an address");
    let (host, word) = rest.split_once("/enter/").expect("a word");
    let entered = served.ask("GET", &format!("/enter/{word}"), &[("Host", host)], b"");
    let cookie = entered
        .head
        .split("set-cookie: ")
        .nth(1)
        .and_then(|it| it.split(';').next());
    let headers = [
        ("Host", host),
        ("Content-Type", "application/json"),
        ("Cookie", cookie.expect("a cookie")),
    ];
    assert_eq!(served.ask("POST", "/do", &headers, b"{}").status, 400);
}

#[test]
fn redrilling_and_readings_say_and_write_what_the_commands_do() {
    let bench = Bench::new();
    let served = Served::new(&bench);
    let clock = json!({ "ask": "clock", "plate": "", "outside": "190mm", "bore": "60mm", "thickness": "",
        "has": "4 x 100 mm, M10", "new": "5 x 150 mm, M12" });
    let told = served.post("/reckon", &clock).object();
    let told = told["parts"]["clocked"]
        .as_str()
        .expect("an answer")
        .to_owned();
    let words = [
        "redrill",
        "--outside",
        "190mm",
        "--bore",
        "60mm",
        "--has",
        "4 x 100 mm, M10",
        "--new",
        "5 x 150 mm, M12",
    ];
    let said = bench.text(&[&words[..], &["--out", "by-command"]].concat());
    let best = said
        .lines()
        .find_map(|it| it.strip_prefix("best:"))
        .expect("a best");
    assert!(told.contains(best.trim()), "{best}: {told}");
    assert!(told.contains("people can die"), "the cautions");
    let wrote = served.post("/redrill", &clock).object();
    assert!(wrote["parts"]["written"].is_string(), "{wrote}");
    let ours = tree(&bench.path("out"));
    assert!(!ours.is_empty() && ours == tree(&bench.path("by-command")));
    let chord = json!({ "ask": "chord", "studs": "5", "skipped": "0", "readings": "79.1mm; 79.2mm",
        "how": "over", "stud": "12mm", "within": "0.1 mm" });
    let told = served.post("/reckon", &chord).object();
    let told = told["parts"]["chord"]
        .as_str()
        .expect("an answer")
        .to_owned();
    for line in bench
        .text(&[
            "measure", "chord", "79.1mm", "79.2mm", "--studs", "5", "--over", "12mm",
        ])
        .lines()
    {
        assert!(told.contains(line), "{line}: {told}");
    }
    let rise = json!({ "ask": "rise", "chord": "100mm", "rise": "12.4mm", "within": "0.05 mm" });
    let told = served.post("/reckon", &rise).object();
    for line in bench
        .text(&["measure", "rise", "--chord", "100mm", "--rise", "12.4mm"])
        .lines()
    {
        let rise = told["parts"]["rise"].as_str().expect("an answer");
        assert!(rise.contains(line), "{line}: {rise}");
    }
    let points = json!({ "ask": "points", "points": ["0 mm, 0 mm", "40 mm, 0 mm", "80 mm, 0 mm"], "within": "0.1 mm" });
    let said = served.post("/reckon", &points).object();
    assert!(
        said["said"]
            .as_str()
            .is_some_and(|it| it.contains("lie on a line")),
        "{said}"
    );
    for (key, typed) in [
        ("studs", "five"),
        ("readings", "79"),
        ("readings", ""),
        ("stud", "-3 mm"),
        ("within", ""),
    ] {
        let mut wrong = chord.clone();
        wrong[key] = json!(typed);
        let said = served.post("/reckon", &wrong).object();
        assert!(said["said"].is_string(), "{key} {typed}: {said}");
    }
}
