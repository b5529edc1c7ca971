//! The commands as a turner runs them: exit status, what is said, what is written.

#![expect(
    clippy::unwrap_used,
    reason = "a command that cannot be run is a failed check"
)]

use std::fs;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

use serde_json::Value;

fn example(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../examples")
        .join(name)
}

/// A folder of its own for each test, emptied first.
fn folder(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(&folder).unwrap();
    folder
}

fn rondure(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_rondure"))
        .args(arguments)
        .stdin(Stdio::null())
        .output()
        .unwrap()
}

fn on(command: &str, plan: &Path, rest: &[&str]) -> Output {
    let mut arguments = vec![command, plan.to_str().unwrap()];
    arguments.extend(rest);
    rondure(&arguments)
}

fn said(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn complained(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn status(output: &Output) -> i32 {
    output.status.code().unwrap()
}

fn json(plan: &Path) -> Value {
    serde_json::from_str(&said(&on("report", plan, &["--json"]))).unwrap()
}

/// Ends a program that would go on, however the test ends.
struct Ended(std::process::Child);

impl Drop for Ended {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

#[test]
fn alone_it_tells_of_the_demo_and_serves_the_page() {
    let home = folder("alone");
    let mut command = Command::new(env!("CARGO_BIN_EXE_rondure"));
    command.env("HOME", &home).env("USERPROFILE", &home);
    command.env_remove("DISPLAY").env_remove("WAYLAND_DISPLAY");
    command.stdin(Stdio::null()).stdout(Stdio::piped());
    let mut ended = Ended(command.spawn().unwrap());
    let mut lines = BufReader::new(ended.0.stdout.take().unwrap()).lines();
    let mut words = String::new();
    while !words.contains("Ctrl-C") {
        words.push_str(&lines.next().expect("it tells how to end it").unwrap());
        words.push('\n');
    }
    assert!(words.contains("Nothing stops this job."), "{words}");
    let address = words.split("http://").nth(1).unwrap();
    let (host, rest) = address.split_once('/').unwrap();
    assert!(rest.starts_with("#/plan/lavender-ball-60"), "{words}");
    let mut page = TcpStream::connect(host).unwrap();
    write!(
        page,
        "GET / HTTP/1.1\r\nHost: {host}\r\nConnection: close\r\n\r\n"
    )
    .unwrap();
    let mut answer = String::new();
    page.read_to_string(&mut answer).unwrap();
    assert!(answer.starts_with("HTTP/1.1 200 OK"), "{answer}");
    assert!(home.join("Rondure/lavender-ball-60.toml").is_file());
}

#[test]
fn status_tells_sound_stopped_and_unreadable() {
    assert_eq!(
        status(&on("report", &example("lavender-ball-60.toml"), &[])),
        0
    );
    assert_eq!(
        status(&on("report", &example("ornament-1-7-8-in.toml"), &[])),
        0
    );
    assert_eq!(
        status(&on("report", &example("lavender-ball-84.toml"), &[])),
        1
    );
    assert_eq!(status(&on("report", &example("no-such-plan.toml"), &[])), 2);
    assert_eq!(
        status(&on("report", Path::new(env!("CARGO_MANIFEST_DIR")), &[])),
        2
    );
}

/// DESIGN section 9.
#[test]
fn json_holds_to_the_contract() {
    let report = json(&example("lavender-ball-84.toml"));
    for key in ["title", "units", "pieces", "setups", "measures", "findings"] {
        assert!(report.get(key).is_some(), "no {key}");
    }
    for measure in report["measures"].as_array().unwrap() {
        for key in [
            "id", "setup", "step", "label", "value", "unit", "tool", "shown",
        ] {
            assert!(
                measure.get(key).is_some_and(|value| !value.is_null()),
                "no {key} in {measure}"
            );
        }
    }
    let findings = report["findings"].as_array().unwrap();
    assert!(findings.iter().any(|finding| finding["weight"] == "stops"));
    for finding in findings {
        for key in [
            "id", "weight", "setup", "step", "says", "value", "limit", "unit", "at", "mend",
        ] {
            assert!(finding.get(key).is_some(), "no {key} in {finding}");
        }
        assert!(["stops", "watch", "note"].contains(&finding["weight"].as_str().unwrap()));
    }
    for piece in report["pieces"].as_array().unwrap() {
        for key in [
            "volume_mm3",
            "volume_error_mm3",
            "mass_g",
            "centre_of_mass_mm",
            "pieces",
            "least_web_mm",
            "least_neck_mm",
        ] {
            assert!(piece["solid"].get(key).is_some(), "no {key} in {piece}");
        }
    }
    for setup in report["setups"].as_array().unwrap() {
        assert!(!setup["steps"].as_array().unwrap().is_empty());
    }
}

#[test]
fn the_same_plan_gives_the_same_bytes() {
    for threads in ["1", "2", "5"] {
        let run = |threads: &str| {
            Command::new(env!("CARGO_BIN_EXE_rondure"))
                .args([
                    "report",
                    example("lavender-ball-60.toml").to_str().unwrap(),
                    "--json",
                ])
                .env("RAYON_NUM_THREADS", threads)
                .output()
                .unwrap()
                .stdout
        };
        assert!(run("2") == run(threads), "other bytes on {threads} threads");
    }
}

#[test]
fn a_wrong_plan_is_told_whole_with_lines_and_mends() {
    let folder = folder("wrong-plan");
    let plan = folder.join("wrong.toml");
    let text = fs::read_to_string(example("lavender-ball-60.toml")).unwrap();
    let text = text
        .replace("diameter = \"60 mm\"", "diamter = \"60 mm\"")
        .replace("species  = \"field maple\"", "species  = \"field mapel\"")
        .replace("depth = \"5 mm\"", "depth = \"5 potatoes\"");
    fs::write(&plan, text).unwrap();
    let output = on("report", &plan, &["--json"]);
    assert_eq!(status(&output), 2);
    assert!(output.stdout.is_empty(), "no report beside errors");
    let words = complained(&output);
    for part in [
        "line 19, ball.diamter",
        "did you mean diameter?",
        "line 25, cove.depth",
        "5 potatoes",
    ] {
        assert!(words.contains(part), "no `{part}` in:\n{words}");
    }
}

#[test]
fn an_unknown_wood_names_the_nearest() {
    let folder = folder("unknown-wood");
    let plan = folder.join("plan.toml");
    let text = fs::read_to_string(example("lavender-ball-60.toml")).unwrap();
    fs::write(&plan, text.replace("\"field maple\"", "\"field mapel\"")).unwrap();
    let output = on("report", &plan, &[]);
    assert_eq!(status(&output), 2);
    let words = complained(&output);
    assert!(
        words.contains("line 10, wood.species") && words.contains("field maple"),
        "{words}"
    );
}

#[test]
fn odd_files_are_refused_in_words() {
    let folder = folder("odd-files");
    let cases: [(&str, &[u8]); 4] = [
        ("empty.toml", b""),
        ("noise.toml", b"\xff\xfe\x00\x01"),
        ("huge.toml", b"title = \"x\"\nform = \"coved ball\"\nunits = \"mm\"\n[ball]\ndiameter = 1e308\nmarks = 99999999999999999999\n"),
        ("broken.toml", b"[ball\ndiameter = = 3\n"),
    ];
    for (name, bytes) in cases {
        let path = folder.join(name);
        fs::write(&path, bytes).unwrap();
        let out = folder.join("out.stl");
        let out = ["-o", out.to_str().unwrap()];
        for (command, rest) in [
            ("report", &[][..]),
            ("rack", &[]),
            ("solid", &out),
            ("packet", &out),
        ] {
            let output = on(command, &path, rest);
            assert_eq!(status(&output), 2, "{command} {name}");
            let words = complained(&output);
            assert!(
                words.contains(name) && !words.contains("panicked"),
                "{command} {name}: {words}"
            );
        }
    }
}

#[test]
fn a_new_plan_runs() {
    let folder = folder("new-plan");
    for (name, arguments, units) in [
        ("mm.toml", &["--diameter", "52mm"][..], "mm"),
        (
            "in.toml",
            &["--diameter", "2 3/8 in", "--marks", "12"][..],
            "in",
        ),
    ] {
        let mut all = vec!["new", "coved ball"];
        all.extend(arguments);
        let output = rondure(&all);
        assert_eq!(status(&output), 0, "{}", complained(&output));
        let plan = folder.join(name);
        fs::write(&plan, &output.stdout).unwrap();
        let report = json(&plan);
        assert_eq!(report["units"], units);
        assert_eq!(status(&on("report", &plan, &[])), 0);
    }
    let refused = rondure(&["new", "teapot"]);
    assert_eq!(status(&refused), 2);
    assert!(complained(&refused).contains("coved ball"));
}

#[test]
fn a_solid_is_written_whole_or_not_at_all() {
    let folder = folder("solid");
    let plan = example("lavender-ball-60.toml");
    let file = folder.join("ball.stl");
    let output = on(
        "solid",
        &plan,
        &[
            "--after",
            "mounting.2",
            "--chord",
            "0.2",
            "-o",
            file.to_str().unwrap(),
            "--json",
        ],
    );
    assert_eq!(status(&output), 0, "{}", complained(&output));
    let written: Value = serde_json::from_str(&said(&output)).unwrap();
    let bytes = fs::read(&file).unwrap();
    // Binary STL: a header of 80 bytes, a count, 50 bytes a triangle.
    let triangles = written["triangles"].as_u64().unwrap();
    assert_eq!(bytes.len() as u64, 84 + 50 * triangles);
    assert_eq!(
        u64::from(u32::from_le_bytes(bytes[80..84].try_into().unwrap())),
        triangles
    );
    let (exact, bound) = (
        written["volume_mm3"].as_f64().unwrap(),
        written["volume_error_mm3"].as_f64().unwrap(),
    );
    let mesh = written["mesh_volume_mm3"].as_f64().unwrap();
    // A ball of 60 mm has some 11 300 mm² of surface: a chord error of 0.2 mm moves at most 2300 mm³.
    assert!((exact - mesh).abs() < 2300.0 + bound && bound < 0.002 * exact);

    let before = fs::read(&file).unwrap();
    for (rest, part) in [
        (
            &["--after", "mounting.9"][..],
            "There are: rough, ball, second-end, mounting.1",
        ),
        (
            &["--piece", "teapot"][..],
            "There are: ball, finial.top, finial.bottom",
        ),
    ] {
        let mut rest = rest.to_vec();
        rest.extend(["-o", file.to_str().unwrap()]);
        let refused = on("solid", &plan, &rest);
        assert_eq!(status(&refused), 2);
        assert!(
            complained(&refused).contains(part),
            "{}",
            complained(&refused)
        );
    }
    assert_eq!(
        fs::read(&file).unwrap(),
        before,
        "a refusal changed the file"
    );
    let nowhere = folder.join("no-such-folder/ball.stl");
    let refused = on(
        "solid",
        &plan,
        &["--chord", "0.5", "-o", nowhere.to_str().unwrap()],
    );
    assert_eq!(status(&refused), 2);
    assert!(complained(&refused).contains("was not written"));
    assert_eq!(
        fs::read_dir(&folder).unwrap().count(),
        1,
        "something half done was left"
    );
}

#[test]
fn a_packet_is_a_pdf_and_the_same_each_time() {
    let folder = folder("packet");
    let plan = example("lavender-ball-60.toml");
    let files = [folder.join("a.pdf"), folder.join("b.pdf")];
    for file in &files {
        let output = on(
            "packet",
            &plan,
            &["-o", file.to_str().unwrap(), "--paper", "letter"],
        );
        assert_eq!(status(&output), 0, "{}", complained(&output));
        assert!(said(&output).contains("100 %"));
    }
    let bytes = fs::read(&files[0]).unwrap();
    assert!(bytes.starts_with(b"%PDF-"));
    assert!(bytes == fs::read(&files[1]).unwrap());
}

#[test]
fn whether_the_job_is_sound_is_for_the_report_alone() {
    let folder = folder("stopped");
    let plan = example("lavender-ball-84.toml");
    let solid = folder.join("rough.stl");
    let output = on(
        "solid",
        &plan,
        &[
            "--after",
            "rough",
            "--chord",
            "1mm",
            "-o",
            solid.to_str().unwrap(),
        ],
    );
    assert_eq!(status(&output), 0, "{}", complained(&output));
    let packet = folder.join("packet.pdf");
    let output = on("packet", &plan, &["-o", packet.to_str().unwrap()]);
    assert_eq!(status(&output), 0, "{}", complained(&output));
    assert!(said(&output).contains("Something stops this job"));
}

#[test]
fn wishes_out_of_range_are_refused_with_what_is_allowed() {
    let folder = folder("out-of-range");
    let plan = example("lavender-ball-60.toml");
    let file = folder.join("ball.stl");
    let stl = file.to_str().unwrap();
    let cases: [(&[&str], &str); 4] = [
        (&["--chord", "0.0001", "-o", stl], "0.005 to 2 mm"),
        (&["--chord", "potatoes", "-o", stl], "--chord: found"),
        (&["--chord", "1e300", "-o", stl], "--chord: found"),
        (&["-o", "ball.obj"], ".stl"),
    ];
    for (rest, part) in cases {
        let refused = on("solid", &plan, rest);
        assert_eq!(status(&refused), 2);
        assert!(
            complained(&refused).contains(part),
            "{}",
            complained(&refused)
        );
    }
    for (rest, part) in [
        (["--diameter", "900 mm"], "900 mm"),
        (["--diameter", "round"], "--diameter: found"),
        (["--marks", "9"], "9 marks"),
        (["--wood", "unobtainium"], "rondure woods"),
    ] {
        let mut all = vec!["new", "coved ball"];
        all.extend(rest);
        let refused = rondure(&all);
        assert_eq!(status(&refused), 2);
        assert!(refused.stdout.is_empty(), "half a plan was written");
        assert!(
            complained(&refused).contains(part),
            "{}",
            complained(&refused)
        );
    }
    assert_eq!(
        fs::read_dir(&folder).unwrap().count(),
        0,
        "a refusal left a file"
    );
}

/// A 3MF is a zip archive and a binary glTF begins with its name (the two formats' specifications, from memory).
#[test]
fn the_ending_says_the_kind_of_surface_file() {
    let folder = folder("kinds");
    for (name, begins) in [
        ("ball.3mf", &b"PK\x03\x04"[..]),
        ("ball.glb", b"glTF"),
        ("ball.stl", b"Rondure, binary STL"),
    ] {
        let file = folder.join(name);
        let output = on(
            "solid",
            &example("lavender-ball-60.toml"),
            &["--chord", "0.5", "-o", file.to_str().unwrap()],
        );
        assert_eq!(status(&output), 0, "{}", complained(&output));
        assert!(fs::read(&file).unwrap().starts_with(begins), "{name}");
    }
}

/// Renaming over a device or a folder would take it away.
#[test]
fn only_files_are_written_over() {
    let folder = folder("only-files");
    let there = folder.join("folder.pdf");
    fs::create_dir(&there).unwrap();
    let refused = on(
        "packet",
        &example("lavender-ball-60.toml"),
        &["-o", there.to_str().unwrap()],
    );
    assert_eq!(status(&refused), 2);
    assert!(
        complained(&refused).contains("names a folder"),
        "{}",
        complained(&refused)
    );
    assert!(there.is_dir() && fs::read_dir(&folder).unwrap().count() == 1);
}

#[test]
fn units_follow_the_diameter_or_the_wish() {
    for (rest, line) in [
        (&["--diameter", "64"][..], "diameter = \"64 mm\""),
        (&["--diameter", "2 1/2 in"][..], "diameter = \"2 1/2 in\""),
        (
            &["--diameter", "2.5", "--units", "in"][..],
            "diameter = \"2 1/2 in\"",
        ),
        (
            &["--diameter", "2 1/2\"", "--units", "mm"][..],
            "diameter = \"63.5 mm\"",
        ),
    ] {
        let mut all = vec!["new", "coved ball"];
        all.extend(rest);
        let output = rondure(&all);
        assert_eq!(status(&output), 0, "{}", complained(&output));
        assert!(
            said(&output).contains(line),
            "no `{line}` in:\n{}",
            said(&output)
        );
    }
}

#[test]
fn a_plan_can_come_from_the_input() {
    let plan = fs::File::open(example("lavender-ball-60.toml")).unwrap();
    let output = Command::new(env!("CARGO_BIN_EXE_rondure"))
        .args(["report", "-"])
        .stdin(plan)
        .output()
        .unwrap();
    assert_eq!(status(&output), 0);
    assert_eq!(
        said(&output),
        said(&on("report", &example("lavender-ball-60.toml"), &[]))
    );
    let nothing = rondure(&["report", "-"]);
    assert_eq!(status(&nothing), 2);
    assert!(
        complained(&nothing).starts_with("the input has"),
        "{}",
        complained(&nothing)
    );
}

/// Lines fit a page of 88 characters, a caution stands once in a set-up, and the plan's units hold throughout.
#[test]
fn words_are_laid_out_for_the_bench() {
    let words = said(&on("report", &example("ornament-1-7-8-in.toml"), &[]));
    for line in words.lines() {
        assert!(line.chars().count() <= 88, "too long: {line}");
        assert_eq!(line, line.trim_end(), "blanks at the end of: {line}");
    }
    assert!(
        !words.contains("cm³") && !words.contains(" mm "),
        "millimetres in a plan in inches"
    );
    let setups: Vec<&str> = words.split("\nHeld: ").skip(1).collect();
    assert_eq!(
        setups.len(),
        13,
        "3 for the ball, 6 mountings, piercing, 2 finials, assembly"
    );
    for setup in setups {
        let cautions: Vec<&str> = setup
            .split("\n  !  ")
            .skip(1)
            .filter_map(|rest| rest.lines().next())
            .collect();
        let mut once = cautions.clone();
        once.sort_unstable();
        once.dedup();
        assert_eq!(once.len(), cautions.len(), "a caution twice in:\n{setup}");
    }
}

/// What the report shows as a mend can be copied into the plan, and then the finding is gone.
#[test]
fn mends_can_be_copied_into_the_plan() {
    let words = said(&on("report", &example("lavender-ball-84.toml"), &[]));
    let drive = "drive = \"13 mm ring drive\"";
    assert!(
        words.contains(&format!("[holding.{drive}]")) && words.contains("[ball.marks = 12]"),
        "{words}"
    );
    let text = fs::read_to_string(example("lavender-ball-84.toml")).unwrap();
    let mended = text
        .replace("drive = \"25 mm spur drive\"", drive)
        .replace("marks    = 16", "marks = 12");
    let plan = folder("mended").join("plan.toml");
    fs::write(&plan, mended).unwrap();
    let report = json(&plan);
    let left: Vec<&str> = report["findings"]
        .as_array()
        .unwrap()
        .iter()
        .filter_map(|finding| finding["id"].as_str())
        .collect();
    for gone in ["centre.wide", "rim.gap", "edge.feather"] {
        assert!(!left.contains(&gone), "{gone} is still found");
    }
}

#[test]
fn every_command_explains_itself_with_an_example() {
    for command in ["report", "solid", "packet", "new", "rack", "woods", "round"] {
        let output = rondure(&[command, "--help"]);
        assert_eq!(status(&output), 0);
        assert!(
            said(&output).contains(&format!("Example:\n  rondure {command}")),
            "{}",
            said(&output)
        );
    }
}

/// A finding's why with its drawing, a measure's why, and an identifier that is none.
#[test]
fn findings_and_measures_are_explained() {
    let plan = example("lavender-ball-60.toml");
    let drawing = folder("explain").join("why.svg");
    let file = drawing.to_str().unwrap();
    let output = on("report", &plan, &["--explain", "holes.meet", "-o", file]);
    let words = said(&output);
    assert_eq!(status(&output), 0);
    assert!(
        words.contains("run together inside") && words.contains("15.7 mm"),
        "{words}"
    );
    assert!(fs::read_to_string(&drawing).unwrap().starts_with('<'));
    let words = said(&on(
        "report",
        &plan,
        &["--explain", "mounting.2.cove.gauge"],
    ));
    assert!(
        words.contains("13.6 mm") && words.contains("-o why.svg"),
        "{words}"
    );
    let refused = on("report", &plan, &["--explain", "cove.depht"]);
    assert_eq!(status(&refused), 2);
    assert!(complained(&refused).contains("cove.gouge"));
}

/// The facets of a 60 mm ball are those of the demo's own ladder; an egg has its own.
#[test]
fn shapes_are_rounded_by_facets() {
    let ball = said(&rondure(&["round", "ball", "--across", "60mm"]));
    assert!(
        ball.contains("17.6 mm") && ball.contains("6.5 mm"),
        "{ball}"
    );
    let egg = said(&rondure(&[
        "round", "egg", "--across", "50", "--length", "70", "--sides", "16",
    ]));
    assert!(
        egg.contains("Never cut here") && !egg.contains("32 sides"),
        "{egg}"
    );
    assert_eq!(status(&rondure(&["round", "egg", "--across", "50"])), 2);
}

#[test]
fn one_set_up_can_be_told_alone() {
    let output = on(
        "report",
        &example("lavender-ball-60.toml"),
        &["--setup", "mounting.3"],
    );
    let words = said(&output);
    assert!(
        words.contains("Mounting 3: between marks 3 and 7") && !words.contains("Mounting 2"),
        "{words}"
    );
    let refused = on(
        "report",
        &example("lavender-ball-60.toml"),
        &["--setup", "mounting.33"],
    );
    assert_eq!(status(&refused), 2);
}

#[test]
fn racks_and_woods_are_shown() {
    let words = said(&rondure(&["rack"]));
    assert!(
        words.contains("Forstner bit, 55 mm reach") && words.contains("24, 36, 48"),
        "{words}"
    );
    let folder = folder("rack");
    let own = folder.join("own.toml");
    fs::write(
        &own,
        said(&rondure(&["rack", "--toml"]))
            .replace("name = \"small workshop\"", "name = \"the shed\""),
    )
    .unwrap();
    let shown = on("rack", &own, &[]);
    assert_eq!(status(&shown), 0, "{}", complained(&shown));
    assert!(said(&shown).contains("the shed"));
    let one = said(&rondure(&["woods", "Acer campestre"]));
    assert!(
        one.contains("field maple") && one.contains("kg") || one.contains("specific gravity"),
        "{one}"
    );
    let unknown = rondure(&["woods", "unobtainium"]);
    assert_eq!(status(&unknown), 2);
}

/// A reader that goes away early is no fault.
#[test]
fn a_closed_pipe_is_quiet() {
    let mut child = Command::new(env!("CARGO_BIN_EXE_rondure"))
        .args(["woods"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert!(
        !complained(&output).contains("panicked"),
        "{}",
        complained(&output)
    );
}
