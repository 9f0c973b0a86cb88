//! What is told when something cannot be done, and with which code `hod` ends.

use insta::assert_snapshot;

use crate::answers::STUDIO;
use crate::program::{Program, bare};

#[test]
fn faults_that_the_server_finds_are_told_at_the_lines_of_the_file() {
    let program = Program::new();
    program.file("high.toml", &STUDIO.replacen("2.40", "99", 1));
    assert_snapshot!("job_has_faults", program.run(&["takeoff", "high.toml"]));
    let same = program.run(&["takeoff", "high.toml"]).talk;
    assert_eq!(
        program
            .run(&["estimate", "high.toml", "--on", "2026-05-01"])
            .talk,
        same
    );
    assert_eq!(
        program
            .run(&["job", "add", "high.toml", "--id", "high"])
            .talk,
        same
    );
}

#[test]
fn faults_of_the_file_are_told_before_anything_is_asked() {
    let program = Program::new();
    program.file(
        "broken.toml",
        &STUDIO
            .replace("= 6.20 ", "= 6,20 ")
            .replace("crew =", "crw ="),
    );
    assert_snapshot!(program.run(&["takeoff", "broken.toml"]));
}

#[test]
fn what_an_estimate_lacks_is_named() {
    let program = Program::new();
    program.file("studio.toml", STUDIO);
    assert_snapshot!(program.run(&["estimate", "studio.toml", "--on", "1999-01-01"]));
}

#[test]
fn what_a_job_names_and_is_not_there_is_told_at_its_line() {
    let program = Program::new();
    program.file("studio.toml", &STUDIO.replace("house-cob", "none"));
    assert_snapshot!(program.run(&["estimate", "studio.toml", "--on", "2026-05-01"]));
}

#[test]
fn what_is_not_there_is_told_with_where_to_look() {
    let program = Program::new();
    assert_snapshot!("no_job", program.run(&["job", "show", "nowhere"]));
    assert_snapshot!("no_region", program.run(&["region", "show", "nowhere"]));
    assert_snapshot!("no_file", program.run(&["takeoff", "nowhere.toml"]));
}

#[test]
fn fields_with_faults_are_told_as_the_flags_that_give_them() {
    let program = Program::new();
    assert_snapshot!(program.run(&[
        "region",
        "create",
        "west",
        "--currency-code",
        "XYZ",
        "--tax-percent",
        "190"
    ]));
}

#[test]
fn a_change_that_somebody_else_made_first_has_a_code_of_its_own() {
    let program = Program::new();
    assert_snapshot!(program.run(&[
        "region",
        "update",
        "west",
        "--profit-percent",
        "12",
        "--etag",
        "stale"
    ]));
}

#[test]
fn a_token_that_is_not_taken_or_not_there() {
    let program = Program::new();
    let mut wrong = program.command(&["region", "list"]);
    assert_snapshot!(
        "wrong_token",
        program.said(wrong.env("HOD_TOKEN", "hod_other"))
    );
    let mut none = program.command(&["region", "list"]);
    let none = none
        .env_remove("HOD_TOKEN")
        .env("HOD_DATA", program.folder.path());
    assert_snapshot!("no_token", program.said(none));
}

#[test]
fn the_owners_token_is_found_in_the_data_folder() {
    let program = Program::new();
    program.file("owner-token", "hod_stand-in\n");
    let mut command = program.command(&["region", "list"]);
    let command = command
        .env_remove("HOD_TOKEN")
        .env("HOD_DATA", program.folder.path());
    assert_eq!(program.said(command).code, 0);
}

#[test]
fn a_server_that_is_not_there() {
    let program = Program::new();
    program
        .file("studio.toml", STUDIO)
        .file("broken.toml", "name = 3");
    let run = |arguments: &[&str]| {
        let mut command = bare(arguments, program.folder.path());
        // Port 1 is one that nothing listens on.
        program.said(command.env("HOD_SERVER", "127.0.0.1:1"))
    };
    assert_snapshot!("no_server", run(&["takeoff", "studio.toml"]));
    assert_snapshot!(
        "no_server_and_a_broken_file",
        run(&["takeoff", "studio.toml", "broken.toml"])
    );
    assert_eq!(
        run(&["job", "check", "studio.toml"]).code,
        0,
        "a check of the writing asks no server"
    );
    let mut far = bare(&["region", "list"], program.folder.path());
    assert_snapshot!(
        "a_server_elsewhere",
        program.said(far.env("HOD_SERVER", "192.0.2.1:7370"))
    );
}

#[test]
fn what_answers_and_is_no_server_of_ours() {
    let program = Program::new();
    let listener = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let address = listener.local_addr().unwrap().to_string();
    let other = std::thread::spawn(move || {
        let (mut stream, _) = listener.accept().unwrap();
        // What a server that encrypts says to one who does not.
        let alert = [0x15, 0x03, 0x03, 0x00, 0x02, 0x02, 0x46, 0, 0];
        std::io::Write::write_all(&mut stream, &alert).unwrap();
        // Open until the other side has had enough, so that it hears the alert and not the end.
        std::io::copy(&mut stream, &mut std::io::sink()).ok();
    });
    let mut command = program.command(&["region", "list"]);
    let said = program.said(command.env("HOD_SERVER", address));
    other.join().unwrap();
    // The alert may be heard before the question is sent or after, and reads as an end or as nonsense.
    assert_eq!(said.code, 5, "{said}");
    assert!(said.talk.contains("begins with https://"), "{said}");
    assert!(
        said.talk.starts_with("error: the connection to 127.0.0.1:")
            || said
                .talk
                .starts_with("error: what answers there is not a server of hod's: "),
        "{said}"
    );
}

/// A server that takes every call and dies before it answers, once it has sent what it is given.
fn dying(last_words: &'static [u8]) -> String {
    use std::io::{Read, Write};
    let listener = std::net::TcpListener::bind("127.0.0.1:0").unwrap();
    let address = listener.local_addr().unwrap().to_string();
    std::thread::spawn(move || {
        for stream in listener.incoming() {
            let mut stream = stream.unwrap();
            // An empty SETTINGS frame, which opens every HTTP/2 connection.
            stream.write_all(&[0, 0, 0, 4, 0, 0, 0, 0, 0]).unwrap();
            stream
                .set_read_timeout(Some(std::time::Duration::from_millis(200)))
                .unwrap();
            // Until nothing more comes: the call is there.
            let mut call = Vec::new();
            stream.read_to_end(&mut call).ok();
            stream.write_all(last_words).ok();
        }
    });
    address
}

#[test]
fn a_connection_that_breaks_during_a_call_is_told_as_one() {
    // Headers of an answer that never comes: status 200 and the content type of gRPC.
    const HEADERS: &[u8] = b"\0\0\x13\x01\x04\0\0\0\x01\x88\x5f\x10application/grpc";
    let program = Program::new();
    program.file("studio.toml", STUDIO);
    for last_words in [b"".as_slice(), HEADERS] {
        let address = dying(last_words);
        let run = |arguments: &[&str]| {
            let mut command = program.command(arguments);
            let said = program.said(command.env("HOD_SERVER", &address));
            assert_eq!(said.code, 5, "{said}");
            let told = format!(
                "the connection to {address} was lost before an answer came; a change may or may not have been kept"
            );
            assert!(said.talk.contains(&told), "{said}");
            assert!(said.talk.contains("with the same --request-id"), "{said}");
            said.answer
        };
        run(&["region", "update", "west", "--profit-percent", "12"]);
        run(&["job", "add", "studio.toml", "--id", "studio"]);
        let jobs = ["studio.toml", "studio.toml", "--format", "jsonl"];
        let answer = run(&[&["takeoff"], jobs.as_slice()].concat());
        assert!(answer.contains(&address), "{answer}");
        run(&[&["estimate", "--on", "2026-05-01"], jobs.as_slice()].concat());
    }
}

#[test]
fn what_the_command_line_does_not_know() {
    let program = Program::new();
    assert_snapshot!("unknown_command", program.run(&["takeof", "studio.toml"]));
    assert_snapshot!(
        "unknown_flag",
        program.run(&["takeoff", "studio.toml", "--lift"])
    );
    assert_snapshot!("no_date", program.run(&["estimate", "studio.toml"]));
    assert_snapshot!(
        "unknown_word",
        program.run(&[
            "price",
            "set",
            "west",
            "sand",
            "--unit-price",
            "1",
            "--unit",
            "yard",
            "--start-date",
            "2026-01-01"
        ])
    );
    assert_snapshot!(
        "nothing_to_change",
        program.run(&["region", "update", "west"])
    );
    assert_snapshot!("half_a_name", program.run(&["price", "show", "p1"]));
    assert_snapshot!(
        "keeping_a_file",
        program.run(&["estimate", "studio.toml", "--on", "2026-05-01", "--keep"])
    );
}

#[test]
fn a_bar_and_colour_are_for_a_terminal_alone() {
    let program = Program::new();
    program.file("studio.toml", STUDIO);
    let said = program.run(&["takeoff", "studio.toml", "studio.toml", "nowhere.toml"]);
    assert!(!said.talk.contains('\u{1b}'), "{said}");
    assert!(!said.answer.contains('\u{1b}'), "{said}");
}
