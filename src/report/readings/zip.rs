//! A ZIP archive without compression (PKWARE APPNOTE 6.3): enough for a workbook of a few hundred kilobytes.

/// An archive under construction.
#[derive(Default)]
pub(super) struct Zip {
    bytes: Vec<u8>,
    directory: Vec<u8>,
    count: u16,
}

/// An archive of 4 GiB or more, or of 65,536 files or more, needs a format that few programs read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
#[error("the table is too large for a workbook: take CSV")]
pub struct XlsxError;

impl Zip {
    /// Adds a file. Its time is the first that the format knows, so that the same content gives the same bytes.
    pub(super) fn add(&mut self, name: &str, content: &[u8]) -> Result<(), XlsxError> {
        let start = length(self.bytes.len())?;
        let size = length(content.len())?.to_le_bytes();
        let mut about = Vec::new();
        about.extend(20_u16.to_le_bytes()); // version needed
        about.extend([0; 4]); // no flags, stored
        about.extend([0, 0, 0x21, 0]); // 1980-01-01 00:00
        about.extend(crc32(content).to_le_bytes());
        about.extend(size);
        about.extend(size);
        about.extend(u16::try_from(name.len()).map_err(|_| XlsxError)?.to_le_bytes());
        about.extend([0; 2]); // no extra field
        self.bytes.extend(b"PK\x03\x04");
        self.bytes.extend(&about);
        self.bytes.extend(name.as_bytes());
        self.bytes.extend(content);
        self.directory.extend(b"PK\x01\x02");
        self.directory.extend(20_u16.to_le_bytes()); // made by
        self.directory.extend(&about);
        self.directory.extend([0; 10]); // no comment, first disk, no attributes
        self.directory.extend(start.to_le_bytes());
        self.directory.extend(name.as_bytes());
        self.count = self.count.checked_add(1).ok_or(XlsxError)?;
        Ok(())
    }

    pub(super) fn finish(mut self) -> Result<Vec<u8>, XlsxError> {
        let (start, size) = (length(self.bytes.len())?, length(self.directory.len())?);
        self.bytes.extend(&self.directory);
        self.bytes.extend(b"PK\x05\x06\0\0\0\0");
        self.bytes.extend(self.count.to_le_bytes());
        self.bytes.extend(self.count.to_le_bytes());
        self.bytes.extend(size.to_le_bytes());
        self.bytes.extend(start.to_le_bytes());
        self.bytes.extend([0; 2]); // no comment
        Ok(self.bytes)
    }
}

fn length(bytes: usize) -> Result<u32, XlsxError> {
    u32::try_from(bytes).map_err(|_| XlsxError)
}

/// CRC-32 with the polynomial of ISO 3309, bit by bit.
fn crc32(bytes: &[u8]) -> u32 {
    let mut crc = u32::MAX;
    for byte in bytes {
        crc ^= u32::from(*byte);
        for _ in 0..8 {
            let lowest = crc & 1;
            crc = (crc >> 1) ^ (0xedb8_8320 * lowest);
        }
    }
    !crc
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_check_value_holds() {
        // The check value of CRC-32 in catalogues of checksums (the digits 1 to 9).
        assert_eq!(crc32(b"123456789"), 0xcbf4_3926);
    }
}
