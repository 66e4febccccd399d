//! Writing a profile as RON text.

use super::layout::set_out;
use super::model::Profile;

/// The profile as a RON text that reads well and reads back to the same profile.
pub fn to_ron(profile: &Profile) -> String {
    set_out(profile)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::profile::read::tests::SPOT;
    use crate::profile::{Library, parse_profile};

    #[test]
    fn every_profile_reads_back_to_itself_and_writes_the_same_again() {
        let (spot, _) = parse_profile(SPOT, None, &|_| true).unwrap();
        for profile in Library::embedded().profiles().map(|p| &**p).chain([&spot]) {
            let text = to_ron(profile);
            let (again, _) = parse_profile(&text, None, &|_| true).unwrap();
            assert_eq!(&again, profile);
            assert_eq!(to_ron(&again), text);
        }
    }

    #[test]
    fn ranges_come_one_a_line() {
        let (spot, _) = parse_profile(SPOT, None, &|_| true).unwrap();
        let text = to_ron(&spot);
        let line = "            (from: 16, to: 31, does: Open, label: \"open\"),";
        assert!(text.lines().any(|found| found == line), "{text}");
    }
}
