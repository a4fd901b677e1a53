//! An instrument at the end of a socket that answers at as little cost as it can: what is measured is the one who asks.

use std::io::{Read, Write};
use std::net::TcpStream;

/// Answers until the other end closes; `reply` puts what it answers to a message behind what is there.
pub(crate) fn answer(mut stream: TcpStream, mut reply: impl FnMut(&str, &mut String)) {
    stream.set_nodelay(true).unwrap();
    let (mut bytes, mut held, mut replies) = ([0; 1024], 0, String::new());
    while let Ok(count @ 1..) = stream.read(&mut bytes[held..]) {
        held += count;
        let whole = bytes[..held].iter().rposition(|byte| *byte == b'\n').map_or(0, |at| at + 1);
        replies.clear();
        for message in str::from_utf8(&bytes[..whole]).unwrap().lines() {
            reply(message, &mut replies);
        }
        bytes.copy_within(whole..held, 0);
        held -= whole;
        if !replies.is_empty() && stream.write_all(replies.as_bytes()).is_err() {
            break;
        }
    }
}
