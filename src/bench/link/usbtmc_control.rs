//! The three orders to the kernel's driver for USB test and measurement devices (`linux/usb/tmc.h`).
#![expect(unsafe_code, reason = "the kernel has no other way to set a timeout or clear a device")]

use std::fs::File;
use std::io;
use std::time::Duration;

use rustix::ioctl::{Getter, NoArg, Opcode, Setter, ioctl, opcode};

/// `USBTMC_IOC_NR`.
const GROUP: u8 = 91;
/// `USBTMC_IOCTL_CLEAR`.
const CLEAR: Opcode = opcode::none(GROUP, 2);
/// `USBTMC_IOCTL_SET_TIMEOUT`.
const SET_TIMEOUT: Opcode = opcode::write::<u32>(GROUP, 10);
/// `USBTMC488_IOCTL_READ_STB`.
const READ_STATUS_BYTE: Opcode = opcode::read::<u8>(GROUP, 18);

/// Makes the device forget what it was sent and what it was about to send.
pub(super) fn clear(device: &File) -> io::Result<()> {
    // SAFETY: the opcode is the header's, and takes no argument; on another kind of file it is refused.
    Ok(unsafe { ioctl(device, NoArg::<CLEAR>::new()) }?)
}

/// Sets how long a read or a write may take (whole ms).
pub(super) fn set_timeout(device: &File, timeout: Duration) -> io::Result<()> {
    let ms = u32::try_from(timeout.as_millis()).unwrap_or(u32::MAX);
    // SAFETY: the opcode is the header's, and reads one `u32`; on another kind of file it is refused.
    Ok(unsafe { ioctl(device, Setter::<SET_TIMEOUT, u32>::new(ms)) }?)
}

/// Reads the status byte (IEEE 488.2).
pub(super) fn status_byte(device: &File) -> io::Result<u8> {
    // SAFETY: the opcode is the header's, and writes one `u8`; on another kind of file it is refused.
    Ok(unsafe { ioctl(device, Getter::<READ_STATUS_BYTE, u8>::new()) }?)
}

#[cfg(test)]
mod tests {
    use super::{CLEAR, READ_STATUS_BYTE, SET_TIMEOUT};

    #[test]
    fn the_orders_are_those_of_the_kernel_header() {
        // Printed by a C program that includes linux/usb/tmc.h, on x86_64.
        assert_eq!([CLEAR, SET_TIMEOUT, READ_STATUS_BYTE], [0x5b02, 0x4004_5b0a, 0x8001_5b12]);
    }
}
