//! How long a packet takes on the line (ANSI E1.11: 250 kbit/s, 11 bits a slot).

/// Shortest break that is sent, in seconds (E1.11, transmitters).
pub const BREAK_S: f64 = 92e-6;

/// Shortest mark after the break that is sent, in seconds (E1.11, transmitters).
pub const MARK_AFTER_BREAK_S: f64 = 12e-6;

/// One slot: 11 bits of 4 µs, in seconds.
pub const SLOT_S: f64 = 44e-6;

/// Shortest time from break to break, in seconds.
pub const BREAK_TO_BREAK_S: f64 = 1204e-6;

/// From the break of a packet of so many slots to that of the next, sent as fast as the line carries them,
/// in seconds: 22.676 ms for 512 slots. The start code takes the time of one slot more.
pub fn packet_s(slots: usize) -> f64 {
    let sent_s = BREAK_S + MARK_AFTER_BREAK_S + (slots + 1) as f64 * SLOT_S;
    sent_s.max(BREAK_TO_BREAK_S)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Worked example from the figures of E1.11: 92 + 12 + 44 · 513 µs, 44.1 packets a second.
    #[test]
    fn packets_take_as_long_as_the_line_needs() {
        assert!((packet_s(512) - 22_676e-6).abs() < 1e-12);
        assert!((1.0 / packet_s(512) - 44.1).abs() < 0.01);
        assert!((packet_s(128) - 5_780e-6).abs() < 1e-12);
        assert!((packet_s(24) - 1_204e-6).abs() < 1e-12);
    }
}
