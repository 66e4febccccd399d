//! One fixture played through a run.

use std::sync::Arc;

use super::aim::AimWatch;
use super::control::ControlWatch;
use super::fades::Fade;
use super::light::LightWatch;
use super::place::PlaceWatch;
use super::steps::StepWatch;
use super::wheels::WheelWatch;
use super::{MOST_ALIKE, Told};
use crate::check::flashes::Turn;
use crate::cue::{Course, Move, Run, RunStart, Target, Tracks};
use crate::decode::{CompiledMode, Decoded, Plan, Reading};
use crate::finding::{Place, Severity};
use crate::motion::{HeadMotion, Pose, RigMotion};
use crate::profile::lint::kinds::Kind;
use crate::rig::{Fixture, Rig};
use crate::show::Show;

/// A channel that a cue sends somewhere, as it begins.
pub(super) struct Begun {
    /// The channel, as a place in the mode.
    pub channel: usize,
    /// Where it stood.
    pub from: u32,
    /// What it is sent to.
    pub target: Target,
    /// When its cue starts, in seconds: at the packet that carries it, or before.
    pub at_s: f64,
    /// That start, as a place among those of the run.
    pub start: usize,
}

/// One fixture played through a run.
pub(super) struct HeadRun<'a> {
    pub(super) show: &'a Show,
    pub(super) fixture: &'a Fixture,
    /// The fixture, as a place among those that it is played with.
    pub(super) own: usize,
    pub(super) mode: Arc<CompiledMode>,
    pub(super) run: Arc<Run>,
    plan: Plan,
    course: Course,
    decoded: Decoded,
    motion: RigMotion,
    pub(super) pose: Pose,
    pub(super) last: Pose,
    pub(super) last_s: f64,
    /// The last start that set anything of it, as a place among those of the run.
    pub(super) on: Option<usize>,
    /// The next start, as a place among those of the run.
    next_start: usize,
    packet: Option<u64>,
    busy_until_s: f64,
    pub(super) aim: AimWatch,
    pub(super) wheels: WheelWatch,
    pub(super) light: LightWatch,
    pub(super) place: PlaceWatch,
    pub(super) control: ControlWatch,
    pub(super) steps: StepWatch,
    /// Fades that are on their way, or wait for their delay.
    pub(super) fades: Vec<Fade>,
    /// When pan and tilt arrive where they were asked to by the packet before; `None` where they were not.
    pub(super) arrived_s: [Option<f64>; 2],
    arrives_s: [Option<f64>; 2],
    /// What cues that start just now send where; kept for its room.
    begun: Vec<Begun>,
    told: Vec<Told>,
    /// Changes of its light that count as half a flash, since they were last taken, with the area lit.
    pub(super) turns: Vec<(Turn, f64)>,
    /// When its lamp was struck, since that was last taken.
    pub(super) strikes: Vec<f64>,
    /// Whether anything of it was seen to change in each start of the run.
    pub(super) seen: Vec<bool>,
}

impl<'a> HeadRun<'a> {
    /// A fixture at the start of a run; `None` where its profile or mode is not to be had.
    /// `company` are those that it is played with, as places in the rig in rising order, itself among them.
    pub(super) fn new(
        show: &'a Show,
        plan: &Plan,
        run: &Arc<Run>,
        place: usize,
        company: &[usize],
    ) -> Option<Self> {
        let fixture = show.rig.get(place)?;
        let mode = plan.fixtures().get(place)?.mode.clone()?;
        let own = company.iter().position(|of| *of == place)?;
        let planned = company.iter().filter_map(|of| plan.fixtures().get(*of));
        let alone = Plan::from_modes(planned.map(|of| (of.mode.clone(), of.address)));
        let run = Arc::new(run.of_fixtures(company, Arc::new(Tracks::new(&alone))));
        let frames = run.tracks().at_rest();
        let mut decoded = alone.start();
        alone.decode(&frames, &mut decoded);
        let rig: Rig = company.iter().filter_map(|of| show.rig.get(*of).cloned()).collect();
        let motion = RigMotion::arrived(&rig, &alone, &frames, &decoded, 0.0);
        let pose = motion.head(own)?.pose_at(0.0);
        Some(Self {
            show,
            fixture,
            own,
            course: Course::new(run.clone()),
            plan: alone,
            decoded,
            last: pose.clone(),
            last_s: 0.0,
            pose,
            motion,
            on: None,
            next_start: 0,
            packet: None,
            busy_until_s: f64::NEG_INFINITY,
            aim: AimWatch::default(),
            wheels: WheelWatch::new(mode.wheels.len()),
            light: LightWatch::default(),
            place: PlaceWatch::default(),
            control: ControlWatch::default(),
            steps: StepWatch::new(fixture, &mode),
            fades: Vec::new(),
            arrived_s: [None; 2],
            arrives_s: [None; 2],
            begun: Vec::new(),
            told: Vec::new(),
            turns: Vec::new(),
            strikes: Vec::new(),
            seen: vec![false; run.starts().len()],
            mode,
            run,
        })
    }

    /// The head itself.
    pub(super) fn head(&self) -> Option<&HeadMotion> {
        self.motion.head(self.own)
    }

    /// What the frame asks of it.
    pub(super) fn reading(&self) -> Option<Reading<'_>> {
        self.plan.reading(self.own, self.course.frames(), &self.decoded)
    }

    /// What one of its channels stands at.
    pub(super) fn value(&self, track: usize) -> Option<u32> {
        self.course.value(track)
    }

    /// Plays on until just before a time, in seconds.
    pub(super) fn advance(&mut self, until_s: f64) {
        while let Some(packet) = self.next_packet() {
            let t_s = self.run.packet_at_s(packet);
            if t_s >= until_s || t_s > self.run.end_s() + self.run.period_s() {
                break;
            }
            self.visit(packet, t_s);
        }
    }

    fn next_packet(&self) -> Option<u64> {
        let next = self.packet.map_or(0, |packet| packet + 1);
        let changes = self.course.next_packet();
        let busy = self.run.packet_at_s(next) <= self.busy_until_s || self.light.flashes();
        if busy { Some(changes.map_or(next, |changes| changes.min(next))) } else { changes }
    }

    fn visit(&mut self, packet: u64, t_s: f64) {
        // What was busy until it stood is looked at once more as it stood, so that no way is left open.
        let run = self.run.clone();
        let mut begun = std::mem::take(&mut self.begun);
        begun.clear();
        // A cue that sets nothing of this fixture, or of those it is played with, has no part in what it does.
        let mut on = None;
        while let Some(start) = run.starts().get(self.next_start).filter(|start| start.at_s <= t_s)
        {
            if self.begin(*start, self.next_start, &mut begun) {
                on = Some(self.next_start);
            }
            self.next_start += 1;
        }
        if self.course.step(packet) {
            self.plan.decode(self.course.frames(), &mut self.decoded);
            self.motion.frame(t_s, &self.plan, self.course.frames(), &self.decoded);
        } else {
            self.motion.advance(t_s);
        }
        self.packet = Some(packet);
        std::mem::swap(&mut self.pose, &mut self.last);
        let Some(head) = self.motion.head(self.own) else { return };
        head.fill_pose(t_s, &mut self.pose);
        let arrival = head.arrives_s();
        let arrival_s = arrival.last_s();
        self.arrived_s = std::mem::replace(&mut self.arrives_s, [arrival.pan_s, arrival.tilt_s]);
        let reset_s = head.reset().map_or(f64::NEG_INFINITY, |reset| reset.end_s);
        let holds = head.holds().filter(|hold| !hold.done).map(|hold| hold.due_s());
        let held_s = holds.fold(f64::NEG_INFINITY, f64::max);
        // Two packets more show that it stands.
        self.busy_until_s = arrival_s.max(reset_s).max(held_s) + 2.5 * self.run.period_s();
        if on.is_some() {
            let before = std::mem::replace(&mut self.on, on);
            self.began(t_s, before, &begun);
        }
        self.watch(t_s);
        self.begun = begun;
        self.last_s = t_s;
    }

    /// What a cue that starts sends where, from where it stands. Says whether it sets anything at all.
    fn begin(&self, start: RunStart, nth: usize, begun: &mut Vec<Begun>) -> bool {
        let cue = &self.run.lists()[start.list].cues[start.cue];
        let own = self.run.tracks().of(self.own);
        for of in cue.moves.iter().filter(|of| own.contains(&of.track)) {
            let Some(track) = self.run.tracks().get(of.track) else { continue };
            let from = self.course.value(of.track).unwrap_or(track.rest);
            let target = cue.target(of, f64::from(from), self.run.tracks());
            let (channel, at_s) = (track.channel, start.at_s);
            begun.push(Begun { channel, from, target, at_s, start: nth });
        }
        !cue.moves.is_empty()
    }

    /// One or more cues began just now, after that of the start `before`.
    fn began(&mut self, t_s: f64, before: Option<usize>, begun: &[Begun]) {
        self.fades_begin(t_s, begun);
        self.aim_begins(t_s, begun);
        self.steps_begin(begun);
        self.control_begins(t_s, begun);
        self.light_begins(t_s, before);
    }

    fn watch(&mut self, t_s: f64) {
        self.watch_aim(t_s);
        self.watch_steps(t_s);
        self.watch_wheels(t_s);
        self.watch_fades(t_s);
        self.watch_control(t_s);
        self.watch_light(t_s);
        self.watch_place(t_s);
        self.watch_sky(t_s);
    }

    /// Takes in a finding, made in the cue that is on.
    pub(super) fn tell(
        &mut self,
        kind: Kind,
        severity: Severity,
        (at_s, until_s): (f64, f64),
        what: impl Into<String>,
        mend: impl Into<String>,
    ) {
        let start = self.on.unwrap_or(0);
        self.tell_in(kind, severity, start, (at_s, until_s), what, mend);
    }

    /// Takes in a finding, made in the cue of a start of the run.
    pub(super) fn tell_in(
        &mut self,
        kind: Kind,
        severity: Severity,
        start: usize,
        (at_s, until_s): (f64, f64),
        what: impl Into<String>,
        mend: impl Into<String>,
    ) {
        let Some(start) = self.run.starts().get(start) else { return };
        let alike = self.told.iter().filter(|told| told.finding.code == kind.code).count();
        if alike >= MOST_ALIKE {
            return;
        }
        let list = &self.run.lists()[start.list];
        let cue = &list.cues[start.cue];
        let item = format!("list \"{}\", {}, {}", list.name, cue.words, self.fixture.words());
        let what = match alike + 1 == MOST_ALIKE {
            true => format!("{}; more of this kind about this fixture are not told", what.into()),
            false => what.into(),
        };
        self.told.push(Told {
            finding: kind.finding(severity, Place::item(item), what, mend),
            list: start.list,
            cue: start.cue,
            number: cue.number,
            at_s,
            until_s,
            fixtures: vec![self.fixture.id],
        });
    }

    /// What is left to say at the end, and everything that was said.
    pub(super) fn finish(&mut self) -> Vec<Told> {
        let t_s = self.last_s;
        self.aim_ends(t_s);
        self.steps_end();
        self.fades_end(t_s);
        self.light_ends();
        std::mem::take(&mut self.told)
    }

    /// Whether any cue of the run sends it anywhere.
    pub(super) fn is_driven(&self) -> bool {
        let own = self.run.tracks().of(self.own);
        let drives = |of: &[Move]| of.iter().any(|of| own.contains(&of.track));
        self.run.lists().iter().any(|list| list.cues.iter().any(|cue| drives(&cue.moves)))
    }
}
