//! Photos as a PDF can hold them: the bytes of the file as they are, with what is needed to read them.

use crate::report::photo::Photo;
use crate::report::photo::PhotoFormat;

/// A photo that a PDF can hold.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Picture {
    pub(super) width: u32,
    pub(super) height: u32,
    /// Values for each point: 1 grey, 3 red, green and blue, 4 cyan, magenta, yellow and black.
    pub(super) channels: u8,
    pub(super) coding: Coding,
    pub(super) bytes: Vec<u8>,
}

/// How the bytes are coded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Coding {
    /// JPEG; of four channels, programs write the values upside down.
    Jpeg,
    /// The compressed lines of a PNG, each with its filter.
    Png,
}

impl Picture {
    /// Takes a photo; `None` for kinds that would have to be decoded (WebP, GIF, transparent or interlaced PNG), and for
    /// what is broken.
    pub(super) fn of(photo: &Photo) -> Option<Self> {
        let picture = match photo.kind {
            PhotoFormat::Jpeg => jpeg(&photo.bytes),
            PhotoFormat::Png => png(&photo.bytes),
            PhotoFormat::Webp | PhotoFormat::Gif => None,
        };
        picture.filter(|picture| picture.width > 0 && picture.height > 0)
    }
}

/// Looks for the frame header of a JPEG (ITU-T T.81 B.2.2).
fn jpeg(bytes: &[u8]) -> Option<Picture> {
    let mut at = 2;
    loop {
        let [0xff, marker] = *bytes.get(at..at + 2)? else { return None };
        if marker == 0xff {
            at += 1;
            continue;
        }
        let length = usize::from(u16::from_be_bytes(bytes.get(at + 2..at + 4)?.try_into().ok()?));
        // Baseline and progressive frames, which every reader of PDF knows.
        if matches!(marker, 0xc0..=0xc2) {
            let [depth, h1, h2, w1, w2, channels] = *bytes.get(at + 4..at + 10)? else {
                return None;
            };
            let (height, width) = (u16::from_be_bytes([h1, h2]), u16::from_be_bytes([w1, w2]));
            let is_usable = depth == 8 && matches!(channels, 1 | 3 | 4);
            return is_usable.then(|| Picture {
                width: width.into(),
                height: height.into(),
                channels,
                coding: Coding::Jpeg,
                bytes: bytes.to_vec(),
            });
        }
        at += 2 + length.max(2);
    }
}

/// Takes the compressed lines out of a PNG (ISO/IEC 15948) of eight bits, without transparency or interlacing.
fn png(bytes: &[u8]) -> Option<Picture> {
    let mut rest = bytes.get(8..)?;
    let mut picture = None;
    while let Some((length, after)) = rest.split_first_chunk::<4>() {
        let length = usize::try_from(u32::from_be_bytes(*length)).ok()?;
        let (kind, after) = after.split_first_chunk::<4>()?;
        let data = after.get(..length)?;
        match kind {
            b"IHDR" => picture = header(data),
            b"IDAT" => picture.as_mut()?.bytes.extend_from_slice(data),
            b"tRNS" => return None,
            _ => {}
        }
        rest = after.get(length + 4..)?;
    }
    picture.filter(|picture| !picture.bytes.is_empty())
}

fn header(data: &[u8]) -> Option<Picture> {
    let (width, rest) = data.split_first_chunk::<4>()?;
    let (height, rest) = rest.split_first_chunk::<4>()?;
    let channels = match *rest {
        [8, 0, 0, 0, 0] => 1,
        [8, 2, 0, 0, 0] => 3,
        _ => return None,
    };
    let (width, height) = (u32::from_be_bytes(*width), u32::from_be_bytes(*height));
    // A reader unpacks the whole picture: 100 million points are more than any camera of a workshop gives.
    let is_usable = u64::from(width) * u64::from(height) <= 100_000_000;
    is_usable.then_some(Picture { width, height, channels, coding: Coding::Png, bytes: Vec::new() })
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use super::*;

    fn photo(bytes: &[u8]) -> Photo {
        Photo::of(bytes.to_vec()).unwrap()
    }

    #[test]
    fn the_size_of_a_jpeg_is_that_of_its_frame() {
        let app = [0xff, 0xe0, 0, 4, 1, 2];
        let frame = [0xff, 0xc0, 0, 17, 8, 0, 40, 0, 60, 3, 0, 0];
        let bytes = [&[0xff, 0xd8][..], &app, &frame].concat();
        let picture = Picture::of(&photo(&bytes)).unwrap();
        assert_eq!((picture.width, picture.height, picture.channels), (60, 40, 3));
    }

    #[test]
    fn what_is_cut_short_or_has_to_be_decoded_is_no_picture() {
        let png = |header: [u8; 5]| {
            let mut bytes = b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR\0\0\0\x02\0\0\0\x03".to_vec();
            bytes.extend(header);
            bytes.extend(b"crc!\0\0\0\x01IDATxcrc!");
            bytes
        };
        let picture = Picture::of(&photo(&png([8, 2, 0, 0, 0]))).unwrap();
        assert_eq!((picture.width, picture.height, picture.bytes), (2, 3, b"x".to_vec()));
        for header in [[8, 6, 0, 0, 0], [16, 2, 0, 0, 0], [8, 2, 0, 0, 1]] {
            assert_eq!(Picture::of(&photo(&png(header))), None);
        }
        let whole = png([8, 2, 0, 0, 0]);
        for length in 8..whole.len() - 4 {
            assert_eq!(Picture::of(&photo(whole.get(..length).unwrap())), None, "{length}");
        }
        for bytes in [b"\xff\xd8\xff".as_slice(), b"\xff\xd8\xff\xe0\0\0\0\0", b"GIF89a"] {
            assert_eq!(Picture::of(&photo(bytes)), None);
        }
    }
}
