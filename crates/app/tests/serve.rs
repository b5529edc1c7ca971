//! The server, route by route, without a socket.

#![expect(
    clippy::unwrap_used,
    reason = "a request that cannot be made is a failed check"
)]

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use axum::Router;
use axum::body::{Body, Bytes, to_bytes};
use axum::http::{HeaderMap, Request, StatusCode};
use rondure::serve::guard::Hosts;
use rondure::serve::{LARGEST_BODY, Server, router};
use rondure_plan::evaluate;
use rondure_plan::plan::Plan;
use serde_json::{Value, json};
use tower::ServiceExt;

const HOST: &str = "127.0.0.1:8360";
const DEMO: &str = "lavender-ball-60";

/// A server on a shelf of its own, and the threads it runs on.
struct Tried {
    router: Router,
    folder: PathBuf,
    runtime: tokio::runtime::Runtime,
}

/// An answer, read to its end.
struct Answer {
    status: StatusCode,
    headers: HeaderMap,
    body: Bytes,
}

impl Answer {
    fn json(&self) -> Value {
        serde_json::from_slice(&self.body).unwrap_or_else(|_| panic!("{:?}", self.body))
    }

    fn text(&self) -> &str {
        std::str::from_utf8(&self.body).unwrap()
    }

    fn header(&self, name: &str) -> &str {
        self.headers[name].to_str().unwrap()
    }
}

fn serving(folder: &Path) -> Router {
    let server: Arc<Server> = Server::open(folder).unwrap();
    router(server, Hosts::at(HOST.parse().unwrap()))
}

impl Tried {
    fn new(test: &str) -> Self {
        let folder = Path::new(env!("CARGO_TARGET_TMPDIR"))
            .join("serve")
            .join(test);
        let _ = fs::remove_dir_all(&folder);
        Self {
            router: serving(&folder),
            runtime: rondure::serve::listen::runtime().unwrap(),
            folder,
        }
    }

    fn send(&self, request: Request<Body>) -> Answer {
        self.runtime.block_on(async {
            let response = self.router.clone().oneshot(request).await.unwrap();
            let (parts, body) = response.into_parts();
            Answer {
                status: parts.status,
                headers: parts.headers,
                body: to_bytes(body, usize::MAX).await.unwrap(),
            }
        })
    }

    fn get(&self, path: &str) -> Answer {
        self.send(request("GET", path).body(Body::empty()).unwrap())
    }

    fn with(&self, method: &str, path: &str, content: &Value) -> Answer {
        let request = request(method, path)
            .header("content-type", "application/json")
            .body(Body::from(content.to_string()));
        self.send(request.unwrap())
    }

    fn post(&self, path: &str, content: &Value) -> Answer {
        self.with("POST", path, content)
    }

    fn delete(&self, path: &str) -> Answer {
        self.send(request("DELETE", path).body(Body::empty()).unwrap())
    }
}

fn request(method: &str, path: &str) -> axum::http::request::Builder {
    Request::builder()
        .method(method)
        .uri(path)
        .header("host", HOST)
}

fn demo() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/lavender-ball-60.toml");
    fs::read_to_string(path).unwrap()
}

fn plan(text: &str) -> Plan {
    Plan::read(text, "test", &|_| Err(String::new())).unwrap()
}

#[test]
fn the_page_comes_with_its_policy_and_is_not_sent_twice() {
    let tried = Tried::new("page");
    let page = tried.get("/");
    assert_eq!(page.status, StatusCode::OK);
    assert_eq!(page.header("content-type"), "text/html; charset=utf-8");
    let policy = page.header("content-security-policy");
    assert!(policy.contains("default-src 'none'") && policy.contains("script-src 'self'"));
    assert!(!policy.contains("unsafe"), "{policy}");
    assert_eq!(page.header("x-content-type-options"), "nosniff");
    let again = request("GET", "/")
        .header("if-none-match", page.header("etag"))
        .body(Body::empty());
    let again = tried.send(again.unwrap());
    assert_eq!(
        (again.status, again.body.len()),
        (StatusCode::NOT_MODIFIED, 0)
    );
    for path in ["/no/such.js", "/../Cargo.toml", "/api/nothing"] {
        let missing = tried.get(path);
        assert_eq!(missing.status, StatusCode::NOT_FOUND, "{path}");
        assert!(missing.json()["says"].is_string());
    }
    // Nothing that the page is made of names an outside address to load from.
    assert!(!page.text().contains("src=\"http") && !page.text().contains("href=\"http"));
}

#[test]
fn strangers_are_refused() {
    let tried = Tried::new("strangers");
    let about = |name: &str, value: &str| {
        let mut request = Request::builder().uri("/api/about");
        if name != "host" {
            request = request.header("host", HOST);
        }
        tried
            .send(request.header(name, value).body(Body::empty()).unwrap())
            .status
    };
    assert_eq!(about("accept", "*/*"), StatusCode::OK);
    assert_eq!(about("host", "localhost:8360"), StatusCode::OK);
    assert_eq!(about("host", "rebound.example:8360"), StatusCode::FORBIDDEN);
    assert_eq!(about("host", "127.0.0.1:80"), StatusCode::FORBIDDEN);
    assert_eq!(about("host", ""), StatusCode::FORBIDDEN);
    assert_eq!(about("origin", "http://127.0.0.1:8360"), StatusCode::OK);
    for origin in [
        "http://elsewhere.example",
        "null",
        "https://127.0.0.1:8360",
        "http://localhost:8360",
    ] {
        assert_eq!(about("origin", origin), StatusCode::FORBIDDEN, "{origin}");
    }
    assert_eq!(about("sec-fetch-site", "same-origin"), StatusCode::OK);
    assert_eq!(about("sec-fetch-site", "cross-site"), StatusCode::FORBIDDEN);
    // A form of another page can send text, but not JSON.
    let form = request("POST", "/api/work")
        .header("content-type", "text/plain")
        .body(Body::from("{\"text\":\"\"}"));
    assert_eq!(
        tried.send(form.unwrap()).status,
        StatusCode::UNSUPPORTED_MEDIA_TYPE
    );
    let preflight = tried.send(request("OPTIONS", "/api/work").body(Body::empty()).unwrap());
    assert!(
        !preflight
            .headers
            .contains_key("access-control-allow-origin")
    );
}

#[test]
fn what_is_too_large_or_no_request_is_refused_in_words() {
    let tried = Tried::new("large");
    let text = "#".repeat(LARGEST_BODY);
    let large = tried.post("/api/work", &json!({ "text": text }));
    assert_eq!(large.status, StatusCode::PAYLOAD_TOO_LARGE);
    for content in [
        json!({}),
        json!({"text": 1}),
        json!({"text": "", "more": 1}),
        json!([]),
    ] {
        let bad = tried.post("/api/work", &content);
        assert_eq!(bad.status, StatusCode::BAD_REQUEST, "{content}");
        assert!(bad.json()["says"].as_str().unwrap().len() > 10);
    }
    assert_eq!(
        tried.get("/api/work").status,
        StatusCode::METHOD_NOT_ALLOWED
    );
}

#[test]
fn names_lead_nowhere_but_the_shelf() {
    let tried = Tried::new("names");
    fs::write(tried.folder.join("../outside.toml"), demo()).unwrap();
    for name in [
        "..%2Foutside",
        "%2E%2E%2Foutside",
        "..",
        ".history%2Flock",
        "a%00b",
        "a%0Ab",
        "..%5Coutside",
    ] {
        for path in [
            format!("/api/shelf/{name}"),
            format!("/api/shelf/{name}/picture.svg"),
        ] {
            let answer = tried.get(&path);
            assert!(answer.status.is_client_error(), "{path}: {}", answer.status);
            assert!(!answer.text().contains("Lavender"), "{path}");
        }
        assert!(
            tried
                .delete(&format!("/api/shelf/{name}"))
                .status
                .is_client_error()
        );
    }
    for to in ["../outside2", "", ".x", "a/b"] {
        let answer = tried.post(&format!("/api/shelf/{DEMO}/copy"), &json!({ "to": to }));
        assert_eq!(answer.status, StatusCode::BAD_REQUEST, "{to}");
    }
    // A rack file is read from the shelf alone.
    let text = demo().replace("\"small workshop\"", "\"../outside.toml\"");
    let worked = tried.post("/api/work", &json!({ "text": text }));
    assert_eq!(worked.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert_eq!(worked.json()["problems"][0]["key"], "rack");
}

#[test]
fn a_new_shelf_holds_the_demo_and_a_cleared_one_stays_clear() {
    let tried = Tried::new("welcome");
    let cards = tried.get("/api/shelf").json();
    assert_eq!(cards.as_array().unwrap().len(), 1);
    assert_eq!(cards[0]["name"], DEMO);
    assert_eq!(cards[0]["title"], "Lavender ball, middle size");
    assert_eq!(cards[0]["says"], "60 mm, field maple");
    assert_ne!(cards[0]["verdict"], "stops");
    let about = tried.get("/api/about").json();
    assert_eq!(about["forms"], json!(["coved ball"]));
    assert_eq!(
        tried.delete(&format!("/api/shelf/{DEMO}")).status,
        StatusCode::NO_CONTENT
    );
    let again = Tried {
        router: serving(&tried.folder),
        ..tried
    };
    assert_eq!(again.get("/api/shelf").json(), json!([]));
    // The bin, and back; then each of the plans that come with the program.
    let bin = again.get("/api/bin").json();
    assert_eq!(bin[0]["title"], "Lavender ball, middle size");
    let id = bin[0]["id"].as_str().unwrap();
    let restored = again.post(&format!("/api/bin/{id}/restore"), &json!({}));
    assert_eq!(restored.json()["name"], DEMO);
    let taken = again.post("/api/examples/lavender-ball-84", &json!({}));
    assert_eq!(taken.status, StatusCode::CREATED);
    assert_eq!(taken.json()["verdict"], "stops");
    assert_eq!(
        again.get("/api/examples").json().as_array().unwrap().len(),
        3
    );
    // A file that is no plan is listed as such, with what is wrong.
    fs::write(again.folder.join("torn.toml"), "title = ").unwrap();
    let cards = again.get("/api/shelf").json();
    let torn = cards
        .as_array()
        .unwrap()
        .iter()
        .find(|card| card["name"] == "torn");
    assert_eq!(torn.unwrap()["verdict"], "unreadable");
}

#[test]
fn changes_undo_and_redo_over_the_wire() {
    let tried = Tried::new("changes");
    let path = format!("/api/shelf/{DEMO}");
    let sheet = tried.get(&path).json();
    let (text, revision) = (sheet["text"].as_str().unwrap(), &sheet["revision"]);
    assert_eq!(text, demo());
    let changed = tried.post(
        "/api/change",
        &json!({"text": text, "key": "cove.depth", "written": "4.5mm"}),
    );
    let changed = changed.json()["text"].as_str().unwrap().to_owned();
    assert!(changed.contains("depth = \"4.5mm\""));
    let kept = tried.with(
        "PUT",
        &path,
        &json!({"text": changed, "revision": revision}),
    );
    assert_eq!(kept.status, StatusCode::OK);
    let kept = kept.json();
    assert_eq!(kept["can_undo"], true);
    let refused = tried.with("PUT", &path, &json!({"text": text, "revision": revision}));
    assert_eq!(
        (refused.status, refused.json()),
        (StatusCode::CONFLICT, kept.clone())
    );
    // A restart in between.
    let tried = Tried {
        router: serving(&tried.folder),
        ..tried
    };
    let undone = tried.post(
        &format!("{path}/undo"),
        &json!({"revision": kept["revision"]}),
    );
    assert_eq!(undone.json()["text"], text);
    let redone = tried.post(&format!("{path}/redo"), &json!({"revision": revision}));
    assert_eq!(redone.json(), kept);
    let ticked = tried.post(
        &format!("{path}/ticks"),
        &json!({"id": "rough.mount", "on": true}),
    );
    assert_eq!(ticked.json()["ticks"], json!(["rough.mount"]));
    let renamed = tried.post(&format!("{path}/rename"), &json!({"to": "My ball ½"}));
    assert_eq!(renamed.json()["revision"], kept["revision"]);
    let sheet = tried.get("/api/shelf/My%20ball%20%C2%BD").json();
    assert_eq!(
        (&sheet["ticks"], &sheet["can_undo"]),
        (&json!(["rough.mount"]), &json!(true))
    );
    assert_eq!(tried.get(&path).status, StatusCode::NOT_FOUND);
}

#[test]
fn a_changed_value_must_make_a_plan_and_a_changed_unit_no_other_lengths() {
    let tried = Tried::new("change");
    let change = |key: &str, written: &str| {
        tried.post(
            "/api/change",
            &json!({"text": demo(), "key": key, "written": written}),
        )
    };
    let bad = change("cove.depth", "deep");
    assert_eq!(
        (bad.status, &bad.json()["text"]),
        (StatusCode::OK, &json!(null))
    );
    assert_eq!(bad.json()["problems"][0]["key"], "cove.depth");
    // A value dragged past that makes no plan has no surface, and that is no fault.
    let dragged = |written: &str| {
        let set = json!({"key": "cove.depth", "written": written});
        let mut asked = json!({"text": demo(), "set": set, "moment": "after", "chord": 0.5});
        let shown = tried.post("/api/mesh", &asked);
        asked["text"] = json!(demo().replace("\"5 mm\"", &format!("\"{written}\"")));
        asked["set"] = json!(null);
        (shown, tried.post("/api/mesh", &asked))
    };
    let (shown, written) = dragged("4 mm");
    assert_eq!((shown.status, shown.body), (StatusCode::OK, written.body));
    assert_eq!(dragged("40 mm").0.status, StatusCode::NO_CONTENT);
    let unknown = change("cove.dept", "5");
    assert_eq!(unknown.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(
        unknown.json()["says"]
            .as_str()
            .unwrap()
            .contains("cove.depth")
    );
    let inches = change("units", "in").json()["text"]
        .as_str()
        .unwrap()
        .to_owned();
    let (before, after) = (plan(&demo()), plan(&inches));
    assert_eq!(after.style.unit_word(), "in");
    assert_eq!((after.ball, after.cove), (before.ball, before.cove));
}

#[test]
fn work_is_the_commands_report_and_problems_have_their_places() {
    let tried = Tried::new("work");
    let worked = tried.post("/api/work", &json!({"text": demo(), "name": DEMO}));
    assert_eq!(worked.status, StatusCode::OK);
    let worked = worked.json();
    let report = evaluate(&plan(&demo())).unwrap().report;
    // Read from its writing, as the answer was: reading may move a number's last digit.
    let report: Value = serde_json::from_str(&serde_json::to_string(&report).unwrap()).unwrap();
    assert!(
        worked["report"] == report,
        "the page's report is another than the command's"
    );
    let fields = worked["fields"].as_array().unwrap();
    assert!(fields.iter().any(|field| field["key"] == "cove.depth"));
    let sheet = tried.get(&format!("/api/shelf/{DEMO}")).json();
    assert_eq!(worked["revision_of_text"], sheet["revision"]);

    let text = demo()
        .replace("marks    = 8", "marks    = 7")
        .replace("depth = \"5 mm\"", "depth = \"½ mn\"");
    let refused = tried.post("/api/work", &json!({"text": text}));
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    let problems = refused.json()["problems"].clone();
    let units: Vec<u16> = text.encode_utf16().collect();
    for (key, written) in [("ball.marks", "7"), ("cove.depth", "\"½ mn\"")] {
        let problem = problems
            .as_array()
            .unwrap()
            .iter()
            .find(|problem| problem["key"] == key)
            .unwrap();
        let place = |end: &str| usize::try_from(problem[end].as_u64().unwrap()).unwrap();
        let meant = String::from_utf16(&units[place("start")..place("end")]).unwrap();
        assert_eq!(meant, written);
        let line = text.lines().nth(place("line") - 1).unwrap();
        assert!(line.contains(written));
    }
}

#[test]
fn surfaces_are_named_bounded_and_alike_where_the_wood_is() {
    let tried = Tried::new("mesh");
    let mesh = |setup: Value, moment: &str, chord: f64, thickness: bool| {
        tried.post(
            "/api/mesh",
            &json!({"text": demo(), "setup": setup, "piece": "ball", "moment": moment, "chord": chord, "thickness": thickness}),
        )
    };
    let finished = mesh(Value::Null, "after", 0.3, true);
    assert_eq!(finished.header("content-type"), "model/gltf-binary");
    assert_eq!(&finished.body[..4], b"glTF");
    let length = u32::from_le_bytes(finished.body[12..16].try_into().unwrap()) as usize;
    let document: Value = serde_json::from_slice(&finished.body[20..20 + length]).unwrap();
    let mesh_of = &document["meshes"][0];
    let cuts = mesh_of["extras"]["cuts"].as_array().unwrap();
    assert!(
        cuts.iter()
            .any(|cut| cut.as_str().unwrap().contains("cove")),
        "{cuts:?}"
    );
    assert!(mesh_of["primitives"][0]["attributes"]["_THICKNESS"].is_number());
    // After one mounting is before the next.
    let after = mesh(json!("mounting.2"), "after", 0.5, false);
    let before = mesh(json!("mounting.3"), "before", 0.5, false);
    assert_eq!(after.body, before.body);
    for chord in [0.0, -1.0, 9.0] {
        assert_eq!(
            mesh(Value::Null, "after", chord, false).status,
            StatusCode::UNPROCESSABLE_ENTITY
        );
    }
    let missing = mesh(json!("mounting.9"), "after", 0.5, false);
    assert_eq!(missing.status, StatusCode::NOT_FOUND);
    assert!(
        missing.json()["says"]
            .as_str()
            .unwrap()
            .contains("mounting.1")
    );
}

/// The rough blank is 66 mm square: the largest ball that touches a side at its middle is as wide.
#[test]
fn a_place_on_the_blank_is_as_thick_as_the_blank() {
    let tried = Tried::new("probe");
    let probe = |setup: Value, at: [f64; 3]| {
        tried.post(
            "/api/probe",
            &json!({"text": demo(), "setup": setup, "piece": "ball", "moment": "before", "at": at}),
        )
    };
    let found = probe(json!("rough"), [33.2, 0.0, 0.0]).json();
    assert!(
        (found["thickness_mm"].as_f64().unwrap() - 66.0).abs() < 1e-6,
        "{found}"
    );
    assert!((found["radius_mm"].as_f64().unwrap() - 33.0).abs() < 1e-9);
    assert!(found["station_mm"].as_f64().unwrap().abs() < 1e-9);
    assert_eq!(found["shown"][0], "wall 66 mm");
    // In a mounting the lathe's axis lies across the ball, so a pole is as far from it as it is high.
    let found = probe(json!("mounting.1"), [0.0, 10.5, 60.0]).json();
    let (radius, station) = (
        found["radius_mm"].as_f64().unwrap(),
        found["station_mm"].as_f64().unwrap(),
    );
    assert!(radius > 20.0 && station.abs() < 15.0, "{found}");
    assert_eq!(
        probe(Value::Null, [1e9, 0.0, 0.0]).status,
        StatusCode::UNPROCESSABLE_ENTITY
    );
}

#[test]
fn drawings_are_pictures_with_their_numbers() {
    let tried = Tried::new("drawings");
    let section = |origin: [f64; 3], normal: [f64; 3]| {
        tried.post(
            "/api/section.svg",
            &json!({"text": demo(), "setup": "rough", "piece": "ball", "moment": "before", "plane": {"origin": origin, "normal": normal}}),
        )
    };
    let blank = section([0.0; 3], [1.0, 0.0, 0.0]);
    assert_eq!(blank.header("content-type"), "image/svg+xml");
    assert!(blank.text().contains("66 mm") && blank.text().contains("95 mm"));
    assert_eq!(
        section([900.0, 0.0, 0.0], [1.0, 0.0, 0.0]).status,
        StatusCode::UNPROCESSABLE_ENTITY
    );
    assert_eq!(
        section([0.0; 3], [0.0; 3]).status,
        StatusCode::UNPROCESSABLE_ENTITY
    );
    let strip = tried.post("/api/strip.svg", &json!({"text": demo()}));
    let setup = tried.post(
        "/api/setup.svg",
        &json!({"text": demo(), "setup": "mounting.3"}),
    );
    let picture = tried.get(&format!("/api/shelf/{DEMO}/picture.svg?revision=x"));
    let figure = |id: &str| tried.post("/api/drawing.svg", &json!({"text": demo(), "drawing": id}));
    let worked = tried.post("/api/work", &json!({"text": demo(), "quick": true}));
    let figures = worked.json()["drawings"].clone();
    let axial = figure("ball.section.axis");
    assert!(
        figures
            .as_array()
            .unwrap()
            .iter()
            .any(|each| each["id"] == "ball.section.axis")
    );
    assert!(axial.text().contains("bore 20 mm"));
    assert_eq!(figure("none").status, StatusCode::NOT_FOUND);
    for drawing in [&strip, &setup, &picture, &axial] {
        assert!(drawing.text().starts_with("<svg"), "{}", drawing.text());
    }
    assert!(picture.text().contains("currentColor"));
    let again = request("GET", &format!("/api/shelf/{DEMO}/picture.svg"))
        .header("if-none-match", picture.header("etag"))
        .body(Body::empty());
    assert_eq!(tried.send(again.unwrap()).status, StatusCode::NOT_MODIFIED);
    let scene = tried
        .post(
            "/api/scene",
            &json!({"text": demo(), "setup": "mounting.3"}),
        )
        .json();
    assert_eq!(scene["lathe_from_piece"].as_array().unwrap().len(), 16);
}

#[test]
fn files_are_whole() {
    let tried = Tried::new("files");
    let path = format!("/api/shelf/{DEMO}");
    let packet = tried.get(&format!("{path}/packet.pdf?paper=letter"));
    assert_eq!(packet.header("content-type"), "application/pdf");
    assert!(packet.body.starts_with(b"%PDF-"));
    assert_eq!(
        tried.get(&format!("{path}/packet.pdf?paper=a9")).status,
        StatusCode::BAD_REQUEST
    );
    let stl = tried.get(&format!("{path}/solid.stl?piece=finial.top&chord=0.3"));
    let count = u32::from_le_bytes(stl.body[80..84].try_into().unwrap()) as usize;
    assert!(count > 100 && stl.body.len() == 84 + 50 * count);
    let threemf = tried.get(&format!(
        "{path}/solid.3mf?piece=ball&setup=mounting.1&chord=1"
    ));
    assert!(threemf.body.starts_with(b"PK"));
    assert!(
        threemf
            .header("content-disposition")
            .contains("after%20mounting.1.3mf")
    );
    assert_eq!(tried.get(&format!("{path}/plan.toml")).text(), demo());
}

#[test]
fn a_new_plan_runs_and_takes_no_other_plans_place() {
    let tried = Tried::new("new");
    let new = json!({"name": "small", "form": "coved ball", "diameter": "50 mm", "units": "mm"});
    let made = tried.post("/api/shelf", &new);
    assert_eq!(made.status, StatusCode::CREATED, "{}", made.text());
    assert_eq!(made.json()["says"], "50 mm, field maple");
    assert_ne!(made.json()["verdict"], "stops");
    assert_eq!(tried.post("/api/shelf", &new).status, StatusCode::CONFLICT);
    for (key, value) in [
        ("form", "cube"),
        ("diameter", "wide"),
        ("units", "ell"),
        ("diameter", "3 m"),
    ] {
        let mut bad = new.clone();
        bad["name"] = json!("other");
        bad[key] = json!(value);
        let refused = tried.post("/api/shelf", &bad);
        assert_eq!(
            refused.status,
            StatusCode::UNPROCESSABLE_ENTITY,
            "{key} {value}"
        );
    }
}

/// The events of a stream that has ended, by name.
fn events(stream: &str) -> Vec<(String, Value)> {
    let field = |block: &str, name: &str| {
        block
            .lines()
            .find_map(|line| line.strip_prefix(&format!("{name}: ")))
            .map(str::to_owned)
    };
    stream
        .split("\n\n")
        .filter_map(|block| {
            let data = field(block, "data")?;
            Some((field(block, "event")?, serde_json::from_str(&data).unwrap()))
        })
        .collect()
}

#[test]
fn limits_are_where_the_findings_of_the_report_begin() {
    let tried = Tried::new("limits");
    let begun = tried.post(
        "/api/jobs",
        &json!({"kind": "limits", "text": demo(), "key": "pierce.diameter"}),
    );
    assert_eq!(begun.status, StatusCode::CREATED);
    let id = begun.json()["id"].as_str().unwrap().to_owned();
    let stream = tried.get(&format!("/api/jobs/{id}/events"));
    assert_eq!(stream.header("content-type"), "text/event-stream");
    let events = events(stream.text());
    let (last, result) = events.last().unwrap();
    assert_eq!(last, "done");
    assert!(events.iter().any(|(name, _)| name == "part"));
    assert!(
        events
            .iter()
            .any(|(name, told)| name == "progress" && told["done"] == told["of"])
    );
    let limits = &result["result"];
    let field = rondure_plan::field::fields(&plan(&demo()))
        .into_iter()
        .find(|field| field.key == "pierce.diameter")
        .unwrap();
    let range = field.range.unwrap();
    assert_eq!(
        (limits["from"].as_f64(), limits["to"].as_f64()),
        (Some(range.from), Some(range.to))
    );
    // A border inside the range: found on one side, one step further not.
    let spans = limits["spans"].as_array().unwrap();
    let span = spans
        .iter()
        .find(|span| span["id"] != "unreadable" && span["from"].as_f64().unwrap() > range.from)
        .unwrap();
    let holds = |at: f64| {
        let text = plan(&demo())
            .set("pierce.diameter", &format!("{at:.6} mm"))
            .unwrap();
        let report = evaluate(&plan(&text)).unwrap().report;
        report
            .findings
            .iter()
            .any(|finding| finding.id == span["id"] && json!(finding.weight) == span["weight"])
    };
    let from = span["from"].as_f64().unwrap();
    assert!(holds(from) && !holds(from - range.step), "{span}");
    // A reload hears the end again; another job that nobody began is not there.
    let late = tried.get(&format!("/api/jobs/{id}/events"));
    assert!(late.text().contains("event: done"));
    assert_eq!(
        tried.get("/api/jobs/99/events").status,
        StatusCode::NOT_FOUND
    );
}

#[test]
fn a_job_ends_when_it_is_cancelled_or_cannot_be() {
    let tried = Tried::new("cancel");
    let begin = |key: &str| {
        let begun = tried.post(
            "/api/jobs",
            &json!({"kind": "limits", "text": demo(), "key": key}),
        );
        begun.json()["id"].as_str().unwrap().to_owned()
    };
    let (first, second) = (begin("cove.depth"), begin("cove.depth"));
    for id in [&first, &second] {
        assert_eq!(
            tried.delete(&format!("/api/jobs/{id}")).status,
            StatusCode::NO_CONTENT
        );
        assert_eq!(
            tried.delete(&format!("/api/jobs/{id}")).status,
            StatusCode::NOT_FOUND
        );
    }
    let id = begin("title");
    let stream = tried.get(&format!("/api/jobs/{id}/events"));
    let (name, told) = events(stream.text()).pop().unwrap();
    assert_eq!(name, "failed");
    assert!(told["says"].as_str().unwrap().contains("title"));
    let unknown = json!({"kind": "dance", "text": "", "key": ""});
    assert_eq!(
        tried.post("/api/jobs", &unknown).status,
        StatusCode::BAD_REQUEST
    );
    let unreadable = json!({"kind": "limits", "text": "title = ", "key": "cove.depth"});
    assert_eq!(
        tried.post("/api/jobs", &unreadable).status,
        StatusCode::UNPROCESSABLE_ENTITY
    );
}

#[test]
fn another_size_is_the_librarys_or_its_reasons() {
    use rondure_plan::rescale::{Wish, rescale};

    let tried = Tried::new("another-size");
    let ask = |diameter: &str, keep: &[&str]| {
        tried.post(
            "/api/rescale",
            &json!({"text": demo(), "diameter": diameter, "keep": keep}),
        )
    };
    let found = ask("45 mm", &[]);
    assert_eq!(found.status, StatusCode::OK);
    let wish = Wish {
        diameter_mm: 45.0,
        ..Wish::default()
    };
    let own = rescale(&plan(&demo()), &wish, &rondure_plan::Memory::default()).unwrap();
    assert_eq!(found.json()["plan"]["text"], own.text);
    assert!(found.json()["none"].is_null());

    let none = ask("30 mm", &["bore", "pierce"]).json();
    assert!(none["plan"].is_null());
    assert!(!none["none"]["hindrances"].as_array().unwrap().is_empty());

    let unread = ask("45 nm", &[]);
    assert_eq!(unread.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(unread.json()["says"].as_str().unwrap().contains("45 mm"));
}
