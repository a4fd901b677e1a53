//! What kinds of photo a report shows. The bytes decide, not the name.

/// The most bytes of one photo that is shown; a larger one is listed with its hash.
pub const PHOTO_MAX: usize = 8 * 1024 * 1024;

/// What the bytes of a photo are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PhotoFormat {
    /// JPEG (ITU-T T.81).
    Jpeg,
    /// PNG (ISO/IEC 15948).
    Png,
    /// WebP (RFC 9649).
    Webp,
    /// GIF.
    Gif,
}

/// The bytes of a photo and what they are.
#[derive(Clone, Debug, PartialEq)]
pub struct Photo {
    /// What the bytes are.
    pub kind: PhotoFormat,
    /// The file's bytes.
    pub bytes: Vec<u8>,
}

impl PhotoFormat {
    /// Its media type.
    #[must_use]
    pub fn media_type(self) -> &'static str {
        match self {
            Self::Jpeg => "image/jpeg",
            Self::Png => "image/png",
            Self::Webp => "image/webp",
            Self::Gif => "image/gif",
        }
    }

    fn of(bytes: &[u8]) -> Option<Self> {
        let is_webp = bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP".as_slice());
        match bytes {
            _ if is_webp => Some(Self::Webp),
            [0xff, 0xd8, 0xff, ..] => Some(Self::Jpeg),
            [0x89, b'P', b'N', b'G', 0x0d, 0x0a, 0x1a, 0x0a, ..] => Some(Self::Png),
            [b'G', b'I', b'F', b'8', ..] => Some(Self::Gif),
            _ => None,
        }
    }
}

impl Photo {
    /// Takes bytes as a photo; `None` for what is none of the kinds shown, or too large.
    #[must_use]
    pub fn of(bytes: Vec<u8>) -> Option<Self> {
        let kind = PhotoFormat::of(&bytes).filter(|_| bytes.len() <= PHOTO_MAX)?;
        Some(Self { kind, bytes })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_bytes_decide_what_is_shown() {
        let kind = |bytes: &[u8]| Photo::of(bytes.to_vec()).map(|photo| photo.kind);
        assert_eq!(kind(b"\x89PNG\r\n\x1a\n..."), Some(PhotoFormat::Png));
        assert_eq!(kind(b"\xff\xd8\xff\xe0"), Some(PhotoFormat::Jpeg));
        assert_eq!(kind(b"RIFF....WEBPVP8 "), Some(PhotoFormat::Webp));
        assert_eq!(kind(b"GIF89a"), Some(PhotoFormat::Gif));
        // SVG can hold a script, so it is never shown.
        for other in [b"<svg xmlns=".as_slice(), b"", b"RIFF....WAVE", b"%PDF-1.7"] {
            assert_eq!(kind(other), None);
        }
        let mut large = b"\xff\xd8\xff".to_vec();
        large.resize(PHOTO_MAX + 1, 0);
        assert_eq!(kind(&large), None);
    }
}
