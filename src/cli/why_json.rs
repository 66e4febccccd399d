//! The stable machine-readable form of the answer of `slotwright why`, as its help describes it.

use serde::Serialize;

use super::frames::Situation;
use super::json::lines;
use super::why::Answer;
use crate::check::why::{Cause, Evidence, Landing, Link, Mend, OUTSIDE, Verdict, Why};
use crate::rig::FixtureId;

#[derive(Serialize)]
struct AnswersJson<'a> {
    show: &'a str,
    fixtures: Vec<AnswerJson<'a>>,
    outside: [&'static str; 4],
}

#[derive(Serialize)]
struct AnswerJson<'a> {
    id: FixtureId,
    label: &'a str,
    verdict: &'static str,
    sentence: String,
    flux_lm: f64,
    full_lm: f64,
    links: Vec<LinkJson>,
    causes: Vec<CauseJson>,
    mend: Option<MendJson>,
    near: Vec<NearJson>,
    landing: Option<LandingJson>,
}

#[derive(Serialize)]
struct LinkJson {
    stage: &'static str,
    wheel: Option<String>,
    lets_through: Option<f64>,
    blocks: bool,
    made_by: Vec<EvidenceJson>,
}

#[derive(Serialize)]
struct EvidenceJson {
    channel: String,
    slots: Vec<Option<u16>>,
    values: Vec<Option<u8>>,
    range: Option<RangeJson>,
    /// No value of it, or none in a range, is known.
    at_rest: bool,
    words: String,
}

#[derive(Serialize)]
struct RangeJson {
    from: u32,
    to: u32,
    label: String,
}

#[derive(Serialize)]
struct CauseJson {
    stage: &'static str,
    words: String,
    disproof: String,
    made_by: Vec<EvidenceJson>,
}

#[derive(Serialize)]
struct MendJson {
    words: String,
    changes: Vec<ChangeJson>,
    blockers: Vec<String>,
    gives_lm: f64,
    takes_s: f64,
}

#[derive(Serialize)]
struct ChangeJson {
    universe: u16,
    slot: u16,
    from: Option<u8>,
    to: u8,
    label: String,
    shared_with: Vec<FixtureId>,
}

#[derive(Serialize)]
struct NearJson {
    kind: &'static str,
    words: String,
}

#[derive(Serialize)]
struct LandingJson {
    on: Option<&'static str>,
    at: Option<[f64; 3]>,
    distance_m: Option<f64>,
    lux: f64,
    at_eyes: bool,
}

/// What is known of these fixtures.
pub(super) fn answers(situation: &Situation, answers: &[Answer<'_>]) -> String {
    let fixtures = answers.iter().map(|answer| one(situation, answer)).collect();
    lines(&AnswersJson { show: &situation.show.name, fixtures, outside: OUTSIDE })
}

fn one<'a>(situation: &'a Situation, answer: &Answer<'_>) -> AnswerJson<'a> {
    let fixture = &situation.show.rig[answer.place];
    let why = answer.why.as_ref();
    let room = &situation.show.room;
    AnswerJson {
        id: fixture.id,
        label: &fixture.label,
        verdict: match why.map(|why| why.verdict) {
            Some(Verdict::Lit) => "lit",
            Some(Verdict::Dark) => "dark",
            Some(Verdict::RunsItself) => "runs itself",
            Some(Verdict::NotPatched) => "not patched",
            None => "unread",
        },
        sentence: why
            .map_or_else(|| "not known: no such profile or mode".to_owned(), |why| why.sentence()),
        flux_lm: why.map_or(0.0, |why| why.flux_lm),
        full_lm: why.map_or(0.0, |why| why.full_lm),
        links: why
            .map(|why| why.links.iter().map(|of| link(why, of)).collect())
            .unwrap_or_default(),
        causes: why
            .map(|why| why.causes().iter().map(|of| cause(why, of)).collect())
            .unwrap_or_default(),
        mend: answer.mend.as_ref().map(|of| mend(situation, of)),
        near: why
            .map(|why| {
                let near = why.near(room).into_iter();
                near.map(|near| NearJson { kind: near.kind.word(), words: near.words }).collect()
            })
            .unwrap_or_default(),
        landing: why.and_then(|why| why.landing(room)).map(landing),
    }
}

fn link(why: &Why<'_>, link: &Link) -> LinkJson {
    LinkJson {
        stage: link.stage.word(),
        wheel: link.wheel.and_then(|wheel| why.reading.mode.wheels.get(wheel)).cloned(),
        lets_through: link.lets_through,
        blocks: link.blocks_all(),
        made_by: why.evidence(link).iter().map(evidence).collect(),
    }
}

fn evidence(evidence: &Evidence<'_>) -> EvidenceJson {
    EvidenceJson {
        channel: evidence.channel.channel.name.clone(),
        slots: evidence.slots.iter().map(|slot| slot.map(|slot| slot.number())).collect(),
        values: evidence.bytes.clone(),
        range: evidence.range.map(|range| RangeJson {
            from: range.first,
            to: range.last,
            label: range.label.clone(),
        }),
        at_rest: evidence.at_rest,
        words: evidence.words(),
    }
}

fn cause(why: &Why<'_>, cause: &Cause<'_>) -> CauseJson {
    CauseJson {
        stage: cause.link.stage.word(),
        words: why.because(cause),
        disproof: why.disproof(cause),
        made_by: cause.evidence.iter().map(evidence).collect(),
    }
}

fn mend(situation: &Situation, mend: &Mend) -> MendJson {
    let ids = |places: &[usize]| {
        places.iter().filter_map(|place| Some(situation.show.rig.get(*place)?.id)).collect()
    };
    MendJson {
        words: mend.words(),
        changes: mend
            .changes
            .iter()
            .map(|change| ChangeJson {
                universe: change.universe.number(),
                slot: change.slot.number(),
                from: change.from,
                to: change.to,
                label: change.label.clone(),
                shared_with: ids(&change.shared_with),
            })
            .collect(),
        blockers: mend.blockers.iter().map(|blocker| blocker.words()).collect(),
        gives_lm: mend.gives_lm,
        takes_s: mend.takes_s,
    }
}

fn landing(landing: Landing) -> LandingJson {
    LandingJson {
        on: landing.on,
        at: landing.at.map(|at| at.to_array()),
        distance_m: landing.distance_m,
        lux: landing.lux,
        at_eyes: landing.at_eyes,
    }
}
