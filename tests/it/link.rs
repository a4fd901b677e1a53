//! Lines to instruments that behave badly, over sockets and serial lines: what does not come whole, alone and in its place is no value.

use std::sync::{Arc, Mutex};
use std::thread::{self, sleep};
use std::time::{Duration, Instant};

use proptest::prelude::*;
use wattstep::test_points::bench::{Link, LinkError, Message};

use crate::support::scpi_server::{Habits, IDENTITY, Memory, Over, Reply, ScpiServer, connection};

const BOTH: [Over; 2] = [Over::Tcp, Over::Serial];

/// Long enough for an instrument on a busy machine, short enough to be waited for.
const TIMEOUT: &str = "timeout: 400 ms";
const LATE: Duration = Duration::from_millis(550);
/// Long enough that two pieces don't come as one.
const LATER: Duration = Duration::from_millis(150);
/// An instrument's own time to think, beside what is meant to be late.
const SOON: Duration = Duration::from_millis(5);

fn open(server: &ScpiServer, keys: &str) -> Link {
    Link::open(&connection(server.address(), keys)).unwrap()
}

/// An instrument that knows who it is, and leaves the rest to the test.
fn identified(
    mut rest: impl FnMut(&str) -> Reply + Send + 'static,
) -> impl FnMut(&str) -> Reply + Send + 'static {
    move |message| if message == "*IDN?" { Reply::text(IDENTITY) } else { rest(message) }
}

/// An instrument that answers `Q1?` with `Q1`, and to `BAD?` what the test says.
fn with_bad(over: Over, bad: Reply) -> ScpiServer {
    ScpiServer::start(over, identified(move |message| answer(message, &bad)))
}

fn answer(message: &str, bad: &Reply) -> Reply {
    match message.strip_suffix('?') {
        Some("BAD") => bad.clone(),
        Some(name) => Reply::text(name),
        None => Reply::none(),
    }
}

/// After something bad, the next questions get their own answers.
fn assert_in_step(link: &mut Link) {
    for name in ["Q1", "Q2", "Q3"] {
        assert_eq!(link.ask(&format!("{name}?")).as_deref(), Ok(name));
    }
}

#[test]
fn what_is_set_is_read_back() {
    for over in BOTH {
        let mut memory = Memory::default();
        let server = ScpiServer::start(over, move |message| memory.answer(message));
        let mut link = open(&server, TIMEOUT);
        assert_eq!(link.identity(), IDENTITY);
        link.tell("INST:NSEL 2;:VOLT 5").unwrap();
        link.tell(Message::selected("INST:NSEL 1", "VOLT 3")).unwrap();
        assert_eq!(link.ask("INST:NSEL 2;:VOLT?").as_deref(), Ok("5"));
        assert_eq!(link.ask(Message::selected("INST:NSEL 1", "VOLT?")).as_deref(), Ok("3"));
    }
}

#[test]
fn a_reply_may_have_any_end() {
    for over in BOTH {
        for terminator in [b"\n".as_slice(), b"\r", b"\r\n", b"\n\r"] {
            let habits = Habits { terminator, ..Habits::default() };
            let server = ScpiServer::with(over, habits, identified(|m| answer(m, &Reply::none())));
            let mut link = open(&server, TIMEOUT);
            assert_in_step(&mut link);
            // Two to get to know it: it was never out of step.
            assert_eq!(server.heard().len(), 2 + 3, "{terminator:?}");
        }
    }
}

#[test]
fn a_message_may_have_any_end() {
    for terminator in ["lf", "cr", "crlf"] {
        let server = with_bad(Over::Serial, Reply::none());
        let mut link = open(&server, &format!("{TIMEOUT}\nterminator: {terminator}"));
        assert_in_step(&mut link);
        assert_eq!(server.messages(), ["Q1?", "Q2?", "Q3?"]);
    }
}

#[test]
fn silence_ends_a_reply_where_nothing_else_does() {
    for over in BOTH {
        let habits = Habits { terminator: b"", unterminated: true, ..Habits::default() };
        let slow = |m: &str| answer(m, &Reply::none()).piecewise(SOON);
        let server = ScpiServer::with(over, habits, identified(slow));
        let mut link = open(&server, "timeout: 1 s\nterminator: none");
        assert_in_step(&mut link);
    }
}

#[test]
fn a_reply_without_an_end_is_no_value() {
    for over in BOTH {
        let server = with_bad(over, Reply::bytes("1.2"));
        let mut link = open(&server, TIMEOUT);
        let (message, ms) = ("BAD?".to_owned(), 400);
        assert_eq!(link.ask("BAD?"), Err(LinkError::Unfinished { message, ms }));
        assert_in_step(&mut link);
    }
}

#[test]
fn a_reply_may_come_in_pieces_but_not_for_ever() {
    for over in BOTH {
        let server = with_bad(over, Reply::text("12345678").piecewise(SOON));
        assert_eq!(open(&server, TIMEOUT).ask("BAD?").as_deref(), Ok("12345678"));

        // Each piece comes well in time, and the whole does not.
        let server =
            with_bad(over, Reply::text("0123456789").piecewise(Duration::from_millis(100)));
        let mut link = open(&server, TIMEOUT);
        let began = Instant::now();
        assert!(matches!(link.ask("BAD?"), Err(LinkError::Unfinished { .. })));
        assert!(began.elapsed() < Duration::from_millis(700), "{:?}", began.elapsed());
        server.wait_until_answered();
        assert_in_step(&mut link);
    }
}

#[test]
fn no_reply_is_told_apart_from_a_closed_line() {
    for over in BOTH {
        let server = with_bad(over, Reply::none());
        let mut link = open(&server, TIMEOUT);
        let (message, ms) = ("BAD?".to_owned(), 400);
        assert_eq!(link.ask("BAD?"), Err(LinkError::NoReply { message, ms }));
        assert_in_step(&mut link);
    }
    for bad in [Reply::close(), Reply::reset(), Reply::bytes("1.2").and_close()] {
        let server = with_bad(Over::Tcp, bad);
        let mut link = open(&server, TIMEOUT);
        assert_eq!(link.ask("CLOSE?").as_deref(), Ok("CLOSE"));
        let closed = link.ask("BAD?");
        assert!(matches!(closed, Err(LinkError::Closed)), "{closed:?}");
        assert_in_step(&mut link);
    }
    let server = with_bad(Over::Serial, Reply::none());
    let mut link = open(&server, TIMEOUT);
    drop(server);
    let closed = LinkError::OutOfStep(Box::new(LinkError::Closed));
    assert_eq!(link.ask("Q1?"), Err(closed));
}

#[test]
fn a_connection_that_was_closed_meanwhile_is_made_again() {
    let server = ScpiServer::start(
        Over::Tcp,
        identified(|m| if m == "BYE" { Reply::close() } else { answer(m, &Reply::none()) }),
    );
    let mut link = open(&server, TIMEOUT);
    link.tell("BYE").unwrap();
    server.wait_for("BYE");
    sleep(Duration::from_millis(50));
    assert_in_step(&mut link);
    assert_eq!(server.connections(), 2);
}

#[test]
fn a_late_reply_is_never_the_answer_to_the_next_question() {
    for over in BOTH {
        let server = with_bad(over, Reply::text("1.2345").after(LATE));
        let mut link = open(&server, TIMEOUT);
        for _ in 0..3 {
            assert!(matches!(link.ask("BAD?"), Err(LinkError::NoReply { .. })));
            assert_in_step(&mut link);
        }
    }
}

/// An instrument that does not answer even who it is for longer than resynchronising takes: the burst of old replies that
/// follows holds no answer either.
#[test]
fn an_instrument_that_sleeps_gives_errors_until_it_is_awake() {
    for over in BOTH {
        let server = with_bad(over, Reply::text("1.2345").after(Duration::from_secs(2)));
        let mut link = open(&server, "timeout: 100 ms");
        assert!(matches!(link.ask("BAD?"), Err(LinkError::NoReply { .. })));
        let mut refused = 0;
        let by = Instant::now() + Duration::from_secs(20);
        // A name that answers nothing else: whatever comes is its own answer, or an error.
        for count in 0.. {
            assert!(Instant::now() < by);
            let name = format!("N{count}");
            match link.ask(&format!("{name}?")) {
                Ok(reply) => {
                    assert_eq!(reply, name);
                    break;
                }
                Err(_) => refused += 1,
            }
        }
        assert!(over == Over::Tcp || refused > 0);
        assert_in_step(&mut link);
    }
}

#[test]
fn of_two_replies_none_is_the_answer() {
    for over in BOTH {
        let server = with_bad(over, Reply::text("1.0").and_text("2.0"));
        let mut link = open(&server, TIMEOUT);
        assert!(matches!(link.ask("BAD?"), Err(LinkError::Several { .. })));
        assert_in_step(&mut link);

        // The second comes in a segment of its own, while nobody asks.
        let server = with_bad(over, Reply::text("1.0").and_wait(LATER).and_text("2.0"));
        let mut link = open(&server, TIMEOUT);
        assert_eq!(link.ask("BAD?").as_deref(), Ok("1.0"));
        server.wait_until_answered();
        sleep(Duration::from_millis(20));
        assert_in_step(&mut link);
    }
}

#[test]
fn an_identity_that_nobody_asked_for_is_late() {
    for over in BOTH {
        let server = with_bad(over, Reply::text(IDENTITY));
        let mut link = open(&server, TIMEOUT);
        assert_eq!(link.ask("BAD?"), Err(LinkError::Late { message: "BAD?".to_owned() }));
        assert_in_step(&mut link);
    }
}

#[test]
fn bytes_that_are_no_text_are_refused_whole() {
    for over in BOTH {
        for noise in [b"1.2\xff3\n", b"\x001.23\n", b"1\x7f.23\n"] {
            let server = with_bad(over, Reply::bytes(noise));
            let mut link = open(&server, TIMEOUT);
            assert_eq!(link.ask("BAD?"), Err(LinkError::NotText { message: "BAD?".to_owned() }));
            assert_in_step(&mut link);
        }
    }
}

#[test]
fn a_reply_longer_than_any_reading_is_refused() {
    for over in BOTH {
        let server = with_bad(over, Reply::text("9".repeat(10_000)));
        let mut link = open(&server, TIMEOUT);
        let (message, max) = ("BAD?".to_owned(), 4096);
        assert_eq!(link.ask("BAD?"), Err(LinkError::TooLong { message, max }));
        assert_in_step(&mut link);
    }
}

#[test]
fn replies_are_brought_as_they_are() {
    for odd in ["9.9E37", "9.91E37", "12,345", "", " ON "] {
        let server = with_bad(Over::Tcp, Reply::text(odd));
        assert_eq!(open(&server, TIMEOUT).ask("BAD?").as_deref(), Ok(odd));
    }
}

#[test]
fn an_echo_is_no_reply() {
    let habits = Habits { echoes: true, terminator: b"\r\n", ..Habits::default() };
    let mut memory = Memory::default();
    let server = ScpiServer::with(Over::Serial, habits, move |message| memory.answer(message));
    let mut link = open(&server, TIMEOUT);
    assert_eq!(link.identity(), IDENTITY);
    link.tell(Message::selected("INST:NSEL 1", "VOLT 5")).unwrap();
    assert_eq!(link.ask("VOLT?").as_deref(), Ok("5"));
    link.cutter().cut("OUTP OFF").unwrap();
    assert_eq!(link.ask("OUTP?").as_deref(), Ok("0"));
}

#[test]
fn acknowledgements_are_taken_and_looked_at() {
    for over in BOTH {
        let habits = Habits { acknowledges: Some("OK"), ..Habits::default() };
        let mut memory = Memory::default();
        let server = ScpiServer::with(over, habits, move |message| memory.answer(message));
        let mut link = open(&server, &format!("{TIMEOUT}\ndialect:\n  acknowledges: OK"));
        link.tell("VOLT 5").unwrap();
        link.tell(Message::selected("INST:NSEL 1", "VOLT 6")).unwrap();
        assert_eq!(link.ask(Message::selected("INST:NSEL 1", "VOLT?")).as_deref(), Ok("6"));
        // What answers a cut is in nobody's way.
        link.cutter().cut("OUTP OFF").unwrap();
        assert_eq!(link.ask("OUTP?").as_deref(), Ok("0"));
        let refused = LinkError::Refused {
            message: "VOLT?".to_owned(),
            reply: "6".to_owned(),
            due: "OK".to_owned(),
        };
        assert_eq!(link.tell("VOLT?"), Err(refused));
        assert_eq!(link.ask("VOLT?").as_deref(), Ok("6"));
    }
}

#[test]
fn messages_keep_their_distance_cuts_too() {
    for over in BOTH {
        let least_gap = Duration::from_millis(20);
        let habits = Habits { least_gap, ..Habits::default() };
        let server = ScpiServer::with(over, habits, identified(|m| answer(m, &Reply::none())));
        let mut link = open(&server, &format!("{TIMEOUT}\npause: 90 ms"));
        let cutter = link.cutter();
        for number in 0..3 {
            link.tell(&format!("SET {number}")).unwrap();
            cutter.cut(Message::selected("SELECT", "OFF")).unwrap();
        }
        server.wait_for("SET 2");
        link.ask("Q?").unwrap();
        let all =
            ["SET 0", "SELECT", "OFF", "SET 1", "SELECT", "OFF", "SET 2", "SELECT", "OFF", "Q?"];
        assert_eq!(server.messages(), all);
    }
}

#[test]
fn a_cut_does_not_wait_for_a_reader_and_the_reader_gets_no_value() {
    for over in BOTH {
        let server = with_bad(over, Reply::text("1.0").after(Duration::from_millis(350)));
        let mut link = open(&server, TIMEOUT);
        let cutter = link.cutter();
        let reader = thread::spawn(move || (link.ask("BAD?"), link));
        server.wait_for("BAD?");
        let began = Instant::now();
        cutter.cut("OUTP OFF").unwrap();
        assert!(began.elapsed() < Duration::from_millis(200), "{:?}", began.elapsed());
        let (reply, mut link) = reader.join().unwrap();
        assert_eq!(reply, Err(LinkError::CutInto { message: "BAD?".to_owned() }));
        assert_in_step(&mut link);
        server.wait_for("OUTP OFF");
    }
}

#[test]
fn cutters_follow_the_connection() {
    let server = with_bad(Over::Tcp, Reply::close());
    let mut link = open(&server, TIMEOUT);
    let cutter = link.cutter();
    assert_eq!(link.ask("BAD?"), Err(LinkError::Closed));
    assert_in_step(&mut link);
    cutter.cut("OFF 1").unwrap();
    server.wait_for("OFF 1");
    assert_eq!(server.connections(), 2);
}

#[test]
fn a_cut_that_finds_the_connection_broken_makes_it_again() {
    for one_client in [false, true] {
        for bad in [Reply::close(), Reply::reset()] {
            let habits = Habits { one_client, ..Habits::default() };
            let handler = identified(move |m| answer(m, &bad));
            let server = ScpiServer::with(Over::Tcp, habits, handler);
            let mut link = open(&server, TIMEOUT);
            let cutter = link.cutter();
            assert_eq!(link.ask("BAD?"), Err(LinkError::Closed));
            // An instrument for one client listens again in a moment.
            sleep(Duration::from_millis(50));
            cutter.cut("OFF 1").unwrap();
            server.wait_for("OFF 1");
            assert_in_step(&mut link);
            cutter.cut("OFF 2").unwrap();
            server.wait_for("OFF 2");
        }
    }
}

#[test]
fn an_instrument_with_room_for_one_client_is_reached_again() {
    let habits = Habits { one_client: true, ..Habits::default() };
    let bad = Reply::text("1.0").after(LATE);
    let server = ScpiServer::with(Over::Tcp, habits, identified(move |m| answer(m, &bad)));
    let mut link = open(&server, TIMEOUT);
    assert!(matches!(link.ask("BAD?"), Err(LinkError::NoReply { .. })));
    assert_in_step(&mut link);
}

/// The reply to the question before is still unread when the connection is dropped; the order to switch off counts nevertheless.
#[test]
fn what_was_cut_in_survives_the_new_connection() {
    let server = with_bad(Over::Tcp, Reply::text("1.0").after(Duration::from_millis(250)));
    let mut link = open(&server, "timeout: 150 ms");
    for round in 0..3 {
        assert!(matches!(link.ask("BAD?"), Err(LinkError::NoReply { .. })));
        let off = format!("OFF {round}");
        link.cutter().cut(&off).unwrap();
        // By now the late reply lies unread.
        sleep(LATER);
        assert_in_step(&mut link);
        server.wait_for(&off);
    }
}

#[test]
fn another_instrument_at_the_address_is_refused() {
    for over in BOTH {
        let name = Arc::new(Mutex::new(IDENTITY));
        let shared = Arc::clone(&name);
        let server = ScpiServer::start(over, move |message| match message {
            "*IDN?" => Reply::text(*shared.lock().unwrap()),
            _ => Reply::none(),
        });
        let mut link = open(&server, "timeout: 100 ms");
        *name.lock().unwrap() = "another";
        assert!(matches!(link.ask("BAD?"), Err(LinkError::NoReply { .. })));
        let Err(LinkError::OutOfStep(why)) = link.ask("BAD?") else { panic!("{over:?}") };
        assert_eq!(
            why.to_string(),
            format!("answered `another` to `*IDN?` where `{IDENTITY}` was due")
        );
    }
}

#[test]
fn an_address_where_nothing_answers_says_so() {
    let server = ScpiServer::start(Over::Serial, |_| Reply::none());
    let silent = Link::open(&connection(server.address(), "timeout: 50 ms"));
    let why = silent.err().map(|error| error.to_string()).unwrap();
    assert_eq!(
        why,
        format!("cannot be reached at {}: no reply to `*IDN?` within 50 ms", server.address())
    );

    let gone = ScpiServer::start(Over::Tcp, |_| Reply::none()).address().to_owned();
    let refused = Link::open(&connection(&gone, TIMEOUT)).err();
    let why = refused.map(|error| error.to_string()).unwrap();
    assert!(why.starts_with(&format!("cannot be reached at {gone}: Connection refused")), "{why}");
}

#[test]
fn a_serial_line_is_for_one_program() {
    let server = with_bad(Over::Serial, Reply::none());
    let _link = open(&server, TIMEOUT);
    assert!(Link::open(&connection(server.address(), TIMEOUT)).is_err());
}

#[test]
fn what_would_be_two_messages_is_not_sent() {
    let server = with_bad(Over::Tcp, Reply::none());
    let mut link = open(&server, TIMEOUT);
    for message in ["VOLT 1\nOUTP ON", "A\rB", "A\0", "\u{9b}", ""] {
        let refused = LinkError::Unsendable(message.escape_debug().to_string());
        assert_eq!(link.ask(message), Err(refused.clone()));
        assert_eq!(link.cutter().cut(Message::selected(message, "A")), Err(refused));
    }
    assert_in_step(&mut link);
    assert_eq!(server.messages(), ["Q1?", "Q2?", "Q3?"]);
}

/// What a disturbed line brings in answer to one question: pieces of noise, ends, and sometimes the answer itself.
fn noise() -> impl Strategy<Value = Vec<Vec<u8>>> {
    let piece = prop_oneof![
        prop::collection::vec(any::<u8>(), 0..12),
        Just(b"7.5\n".to_vec()),
        Just(b"\r\n".to_vec()),
        Just(b"7.".to_vec()),
    ];
    prop::collection::vec(piece, 0..4)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    /// Whatever noise comes, a value is one whole line of what was sent for this question, and the next answers are right.
    #[test]
    fn noise_is_never_a_value_that_was_not_sent_whole(pieces in noise(), over in prop::sample::select(&BOTH)) {
        let sent = pieces.concat();
        let mut bad = Reply::none();
        for piece in pieces {
            bad = bad.and_bytes(piece).and_wait(Duration::from_millis(1));
        }
        let server = with_bad(over, bad);
        let mut link = open(&server, "timeout: 200 ms");
        if let Ok(value) = link.ask("BAD?") {
            let whole = [value.as_bytes(), b"\n"].concat();
            let with_return = [value.as_bytes(), b"\r"].concat();
            prop_assert!(sent.starts_with(&whole) || sent.starts_with(&with_return), "{value:?} of {sent:?}");
        }
        // Noise that falls into the reply to the next question can't be told from it: let it come before.
        server.wait_until_answered();
        sleep(Duration::from_millis(20));
        assert_in_step(&mut link);
    }
}

/// What an instrument answers whose replies to these questions are these; a moment after the first, another follows.
fn with_a_late_one(first: &'static str, late: &'static str) -> ScpiServer {
    let handler = move |message: &str| match message {
        "*IDN?" => Reply::text(IDENTITY),
        "VOLT?" => Reply::text(first).and_wait(Duration::from_millis(5)).and_text(late),
        "CURR?" => Reply::text("0.25"),
        _ => Reply::none(),
    };
    ScpiServer::start(Over::Tcp, handler)
}

#[test]
fn an_old_reply_before_the_due_one_is_never_a_reading() {
    let server = with_a_late_one("10.0", "5.0");
    let mut link = open(&server, TIMEOUT);
    // It looks like any other where nothing is made sure of, and is found out the next time.
    assert_eq!(link.ask("VOLT?").as_deref(), Ok("10.0"));
    assert!(matches!(link.be_sure(), Err(LinkError::Late { .. })));
    assert_eq!(link.ask("CURR?").as_deref(), Ok("0.25"));
    for _ in 0..20 {
        let late = LinkError::Late { message: "VOLT?".to_owned() };
        assert_eq!(link.ask_surely("VOLT?"), Err(late));
        assert_eq!(link.ask_surely("CURR?").as_deref(), Ok("0.25"));
    }
}

#[test]
fn a_reply_that_came_twice_is_never_the_next_reading() {
    let server = with_a_late_one("5.0", "5.0");
    let mut link = open(&server, TIMEOUT);
    for pause in [0, 1, 3, 5, 8] {
        for _ in 0..10 {
            link.ask("VOLT?").unwrap();
            sleep(Duration::from_millis(pause));
            match link.ask_surely("CURR?") {
                Ok(reply) => assert_eq!(reply, "0.25"),
                Err(LinkError::Late { .. } | LinkError::Several { .. }) => {}
                Err(error) => panic!("{error}"),
            }
        }
    }
}

#[test]
fn samples_before_something_unasked_for_are_not_sure() {
    let server = with_a_late_one("10.0", "5.0");
    let mut link = open(&server, TIMEOUT);
    link.ask("VOLT?").unwrap();
    sleep(Duration::from_millis(50));
    // The line is put in step for this one, which says nothing about the one before.
    assert_eq!(link.ask("CURR?").as_deref(), Ok("0.25"));
    assert!(matches!(link.be_sure(), Err(LinkError::Late { .. })));
    assert_eq!(link.be_sure(), Ok(()));
}

#[test]
fn a_reply_to_another_question_is_told_apart_after_the_line_was_cut_into() {
    for late_ms in [5, 200] {
        let handler = move |message: &str| match message {
            "*IDN?" => Reply::text(IDENTITY),
            "VOLT?" => Reply::text("10.0").and_wait(Duration::from_millis(late_ms)).and_text("5.0"),
            "CURR?" => Reply::text("0.25"),
            _ => Reply::none(),
        };
        let server = ScpiServer::start(Over::Tcp, handler);
        let mut link = open(&server, TIMEOUT);
        for (question, is_another) in [("VOLT?", true), ("CURR?", false)] {
            link.ask(question).unwrap();
            link.cutter().cut("OUTP OFF").unwrap();
            assert_eq!(link.answered_another(), is_another, "{question} after {late_ms} ms");
        }
        assert_eq!(link.ask_surely("CURR?").as_deref(), Ok("0.25"));
    }
}

#[test]
fn what_comes_while_it_is_too_soon_for_the_next_message_is_seen_before_it_is_sent() {
    let server = with_a_late_one("5.0", "5.0");
    let mut link = open(&server, &format!("{TIMEOUT}\npause: 40 ms"));
    for _ in 0..5 {
        link.ask("VOLT?").unwrap();
        assert_eq!(link.ask("CURR?").as_deref(), Ok("0.25"));
    }
}
