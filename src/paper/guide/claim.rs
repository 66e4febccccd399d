//! What a page promises: words that the program must come to by itself.

use super::calc::calc;
use super::moment::Stand;
use super::page::Page;
use crate::finding::number;
use crate::profile::times::Loss;
use crate::rig::FixtureId;
use crate::stage::MarkState;

/// Words of a page that the program must come to by itself.
#[derive(Clone, Debug, PartialEq)]
pub struct Claim {
    /// What they are about.
    pub of: ClaimOf,
    /// The state of the example that they are about, as a place among the page's moments.
    pub moment: Option<usize>,
}

/// What a claim is about.
#[derive(Clone, Debug, PartialEq)]
pub enum ClaimOf {
    /// What a channel of a fixture is asked, in physical terms or by the name of its range.
    Says(FixtureId, String),
    /// Whether a fixture gives light, and how it flashes.
    Is(FixtureId),
    /// What a check finds about a fixture.
    Found(FixtureId),
    /// What a fixture does without a signal, and after how long.
    Loss(FixtureId),
    /// A sum.
    Calc(String),
}

impl Claim {
    /// What the program says in this matter: the words of the page must be among them.
    ///
    /// # Errors
    /// Why nothing can be said: there is no such fixture, channel or example.
    pub fn truth(&self, page: &Page) -> Result<String, String> {
        if let ClaimOf::Calc(sum) = &self.of {
            let value = calc(sum).ok_or_else(|| format!("`{sum}` is no sum"))?;
            return Ok(format!("{value}"));
        }
        let moment = self.moment.and_then(|moment| page.moments.get(moment));
        let moment = moment.ok_or("there is no example above this")?;
        let stand = moment.stand().map_err(|findings| findings.to_string())?;
        let of = self.of.fixture().unwrap_or_default();
        let place = stand.place(of).ok_or_else(|| format!("there is no fixture {of}"))?;
        match &self.of {
            ClaimOf::Says(_, channel) => says(&stand, place, channel),
            ClaimOf::Is(_) => Ok(light(&stand, place)),
            ClaimOf::Found(_) => Ok(found(&stand, place)),
            ClaimOf::Loss(_) => loss(&stand, place),
            ClaimOf::Calc(_) => Ok(String::new()),
        }
    }

    /// Whether the page is right to say `words`. A sum is compared to as many places as the page gives.
    pub fn holds(&self, words: &str, truth: &str) -> bool {
        match self.of {
            ClaimOf::Calc(_) => {
                let places = words.split_once('.').map_or(0, |(_, places)| places.len());
                truth.parse::<f64>().is_ok_and(|value| format!("{value:.places$}") == words)
            }
            _ => among(truth, words),
        }
    }
}

impl ClaimOf {
    fn fixture(&self) -> Option<FixtureId> {
        match self {
            Self::Says(id, _) | Self::Is(id) | Self::Found(id) | Self::Loss(id) => Some(*id),
            Self::Calc(_) => None,
        }
    }
}

/// Whether `words` stand in `text` as whole words: `9 deg` does not stand in `89 deg`.
fn among(text: &str, words: &str) -> bool {
    let part = |c: char| c.is_alphanumeric() || c == '.' || c == '-';
    !words.is_empty()
        && text.match_indices(words).any(|(at, _)| {
            let before = text[..at].chars().next_back().is_some_and(part);
            let after = text[at + words.len()..].chars().next();
            !before && !after.is_some_and(char::is_alphanumeric)
        })
}

fn says(stand: &Stand, place: usize, channel: &str) -> Result<String, String> {
    let reading = stand.reading(place).ok_or("the fixture has no mode")?;
    let channel = reading.channels().find(|reading| reading.channel.name == channel);
    let channel = channel.ok_or("there is no such channel")?;
    let label = channel.range.map_or("", |range| range.label.as_str());
    Ok(format!("{}; {label}; {}", channel.words(), channel.channel.name.to_lowercase()))
}

fn light(stand: &Stand, place: usize) -> String {
    let scene = stand.scene();
    let Some(mark) = scene.marks.get(place) else { return String::new() };
    let state = match &mark.state {
        MarkState::Lit => "lit",
        MarkState::Dark => "dark",
        MarkState::Overridden(_) => "runs by itself",
        MarkState::Unread => "unread",
    };
    match mark.flash {
        Some(flash) => format!("{state}, {:.2} flashes a second", flash.hz),
        None => state.to_owned(),
    }
}

/// What was said of the fixture when its show was read.
fn found(stand: &Stand, place: usize) -> String {
    let name = stand.show.rig[place].words();
    let of = stand.findings.iter().filter(|finding| finding.place.to_string().contains(&name));
    of.map(|finding| format!("{finding}\n")).collect()
}

fn loss(stand: &Stand, place: usize) -> Result<String, String> {
    let reading = stand.reading(place).ok_or("the fixture has no mode")?;
    let on_loss = &reading.mode.profile.on_loss;
    let does = match &on_loss.does {
        None | Some(Loss::Hold) => "holds what it had",
        Some(Loss::Dark) => "goes dark",
        Some(Loss::Standby { .. }) => "goes to a look of its own",
    };
    Ok(format!("after {} s it {does}", number(on_loss.wait_s())))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_are_found_whole() {
        assert!(among("89.30 deg; pan", "89.30 deg"));
        assert!(!among("189.30 deg", "89.30 deg") && !among("-9 deg", "9 deg"));
        assert!(!among("open", "ope") && !among("open", ""));
    }

    #[test]
    fn a_sum_is_rounded_as_the_page_rounds_it() {
        let claim = Claim { of: ClaimOf::Calc("540/255".to_owned()), moment: None };
        let truth = claim.truth(&Page::default()).unwrap();
        assert!(claim.holds("2.12", &truth) && claim.holds("2", &truth));
        assert!(!claim.holds("2.11", &truth));
    }
}
