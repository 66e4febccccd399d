//! A condition resolved against a rig: who is meant, which channels and ranges, whether the units fit.

use std::ops::Range;

use super::program::{Leaf, Look, Op, Program};
use super::token::Mistake;
use super::tree::{Arith, Expr, How, Node, RangeName, Subject, Who};
use super::words::{Dim, QUANTITIES, STATES};
use crate::decode::{CompiledChannel, CompiledMode, Plan};
use crate::finding::{listed, nearest};
use crate::profile::quantity::Unit;
use crate::rig::Rig;

/// The most steps a condition may take.
const MOST_OPS: usize = 100_000;

/// Lays a condition out for a rig. `plan` must be of this rig.
///
/// # Errors
///
/// A fixture, channel or range that is not there, units that do not fit each other, a number where something
/// true or untrue is wanted or the other way round.
pub fn resolve(expr: &Expr, rig: &Rig, plan: &Plan) -> Result<Program, Mistake> {
    let mut resolver = Resolver { rig, plan, program: Program::default() };
    resolver.truth(expr, None).map_err(Refused::mistake)?;
    Ok(resolver.program)
}

struct Resolver<'a> {
    rig: &'a Rig,
    plan: &'a Plan,
    program: Program,
}

/// Why a part cannot be laid out.
enum Refused {
    /// It is wrong, whoever it is about.
    Wrong(Mistake),
    /// This fixture has no such thing; another may.
    Absent(Mistake),
}

impl Refused {
    fn mistake(self) -> Mistake {
        match self {
            Self::Wrong(mistake) | Self::Absent(mistake) => mistake,
        }
    }
}

impl From<Mistake> for Refused {
    fn from(mistake: Mistake) -> Self {
        Self::Wrong(mistake)
    }
}

/// The fixture that is spoken of, as a place in the rig.
type Whom = Option<usize>;

impl Resolver<'_> {
    fn op(&mut self, op: Op, at: &Range<usize>) -> Result<(), Refused> {
        if self.program.ops.len() >= MOST_OPS {
            let what = format!("it takes more than {MOST_OPS} steps to work out");
            return Err(Mistake::new(at.clone(), what, "ask it of fewer fixtures").into());
        }
        self.program.ops.push(op);
        Ok(())
    }

    /// Lays out what is true or not.
    fn truth(&mut self, expr: &Expr, whom: Whom) -> Result<(), Refused> {
        let at = &expr.at;
        match &expr.node {
            Node::State(state) => {
                let head = self.head(at, whom, state.word())?;
                self.leaf(Some(head), Look::State(*state), at)
            }
            Node::Is(channel, range) => self.is(at, channel, range, whom),
            Node::Edge(inner, rises) => {
                self.truth(inner, whom)?;
                let kept = self.program.kept as u32;
                self.program.kept += 1;
                self.op(Op::Edge { kept, rises: *rises }, at)
            }
            Node::Not(inner) => {
                self.truth(inner, whom)?;
                self.op(Op::Not, at)
            }
            Node::And(a, b) => {
                self.truth(a, whom)?;
                self.truth(b, whom)?;
                self.op(Op::And, at)
            }
            Node::Or(a, b) => {
                self.truth(a, whom)?;
                self.truth(b, whom)?;
                self.op(Op::Or, at)
            }
            Node::Compare(compare, a, b) => {
                let dim = self.common(a, b)?.unwrap_or(Dim::Plain);
                in_a_slot(a, b)?;
                self.number(a, dim, whom)?;
                self.number(b, dim, whom)?;
                self.op(Op::Compare(*compare), at)
            }
            Node::Of(subject, inner) => self.of(subject, inner),
            Node::Channel(name) => {
                // A slip of a word reads as the name of a channel.
                self.channel(at, name, whom)?;
                let mend = format!("write `\"{name}\" is \"...\"`, or compare it with a value");
                Err(Mistake::new(at.clone(), format!("`{name}` alone says nothing"), mend).into())
            }
            Node::Number(..)
            | Node::Slot(..)
            | Node::Time
            | Node::Quantity(_)
            | Node::Minus(_)
            | Node::Arith(..) => {
                let what = "a number is neither true nor untrue".to_owned();
                let mend = "compare it: `> 100`, `= 0`, `< 35 deg`";
                Err(Mistake::new(at.clone(), what, mend).into())
            }
        }
    }

    /// Somebody is spoken of: all within is laid out for each of them.
    fn of(&mut self, subject: &Subject, inner: &Expr) -> Result<(), Refused> {
        let whom = self.whom(subject)?;
        if let (How::One, [place]) = (subject.how, whom.as_slice()) {
            return self.truth(inner, Some(*place));
        }
        let joins = if subject.how == How::All { Op::And } else { Op::Or };
        let (mut count, mut absent) = (0, None);
        for place in whom {
            let before = (self.program.ops.len(), self.program.kept);
            match self.truth(inner, Some(place)) {
                Ok(()) => {
                    count += 1;
                    if count > 1 {
                        self.op(joins, &inner.at)?;
                    }
                }
                Err(Refused::Wrong(mistake)) => return Err(mistake.into()),
                Err(Refused::Absent(mistake)) => {
                    self.program.ops.truncate(before.0);
                    self.program.kept = before.1;
                    absent.get_or_insert(mistake);
                }
            }
        }
        match (count, absent) {
            (0, Some(mistake)) => return Err(Refused::Wrong(mistake)),
            (0, None) => {
                let mend = "name fixtures that the rig has";
                return Err(Mistake::new(subject.at.clone(), "nobody is meant", mend).into());
            }
            _ => {}
        }
        if subject.how == How::No {
            self.op(Op::Not, &inner.at)?;
        }
        Ok(())
    }

    /// The fixtures that are meant, as places in the rig.
    fn whom(&self, subject: &Subject) -> Result<Vec<usize>, Mistake> {
        let all = 0..self.rig.len();
        if subject.who.is_empty() {
            return Ok(all.filter(|place| self.mode(*place).is_some()).collect());
        }
        let mut whom = Vec::new();
        for who in &subject.who {
            let before = whom.len();
            whom.extend(all.clone().filter(|place| self.is_meant(*place, who)));
            if whom.len() == before {
                return Err(self.nobody(subject, who));
            }
        }
        whom.sort_unstable();
        whom.dedup();
        Ok(whom)
    }

    fn is_meant(&self, place: usize, who: &Who) -> bool {
        let fixture = &self.rig[place];
        match who {
            Who::Numbers(first, last) => (*first..=*last).contains(&fixture.id),
            Who::Named(name) => {
                let name = name.to_lowercase();
                let model = fixture.profile.to_lowercase();
                let label = fixture.label.to_lowercase();
                model == name || model.ends_with(&format!(" {name}")) || label.starts_with(&name)
            }
        }
    }

    fn nobody(&self, subject: &Subject, who: &Who) -> Mistake {
        let (what, mend) = match who {
            Who::Numbers(first, last) => {
                let ids: Vec<String> = self.rig.iter().map(|f| f.id.to_string()).collect();
                let what = match first == last {
                    true => format!("the show has no fixture {first}"),
                    false => format!("the show has no fixture of {first}..{last}"),
                };
                (what, format!("it has {}", listed(ids.iter().map(String::as_str))))
            }
            Who::Named(name) => {
                let mut models: Vec<&str> = self.rig.iter().map(|f| f.profile.as_str()).collect();
                models.sort_unstable();
                models.dedup();
                let what = format!("no model or label of the rig is `{}`", name.escape_debug());
                let near = nearest(name, models.iter().copied());
                let near = near.map(|near| format!("did you mean `{near}`? ")).unwrap_or_default();
                (what, format!("{near}the models are {}", listed(models)))
            }
        };
        Mistake::new(subject.at.clone(), what, mend)
    }

    fn mode(&self, place: usize) -> Option<&CompiledMode> {
        self.plan.fixtures().get(place)?.mode.as_deref()
    }

    /// The head that is spoken of, as a place among those of the program.
    fn head(&mut self, at: &Range<usize>, whom: Whom, what: &str) -> Result<usize, Refused> {
        let Some(place) = whom else {
            let what = format!("{what} of which fixture?");
            let mend = "name it before: `fixture 3 ...` or `any fixture ...`";
            return Err(Mistake::new(at.clone(), what, mend).into());
        };
        if self.mode(place).is_none() {
            let what = format!("the profile of {} is not to be had", self.rig[place].words());
            return Err(Refused::Absent(Mistake::new(at.clone(), what, "give its profile")));
        }
        let heads = &mut self.program.heads;
        Ok(heads.iter().position(|head| *head == place).unwrap_or_else(|| {
            heads.push(place);
            heads.len() - 1
        }))
    }

    fn leaf(&mut self, head: Option<usize>, look: Look, at: &Range<usize>) -> Result<(), Refused> {
        let leaf = Leaf { head, look };
        // A head is asked for few things, and those stand near the end.
        let known = self.program.leaves.iter().rposition(|known| *known == leaf);
        let place = known.unwrap_or_else(|| {
            self.program.leaves.push(leaf);
            self.program.leaves.len() - 1
        });
        self.op(Op::Leaf(place as u32), at)
    }

    /// A channel of whom is spoken of, as a place in its mode.
    fn channel(&mut self, at: &Range<usize>, name: &str, whom: Whom) -> Result<usize, Refused> {
        self.head(at, whom, &format!("`{}`", name.escape_debug()))?;
        let place = whom.unwrap_or_default();
        let mode = self.mode(place);
        let channels = mode.map_or(&[][..], |mode| mode.channels.as_slice());
        let wanted = name.to_lowercase();
        let found = channels.iter().position(|channel| channel.name.to_lowercase() == wanted);
        found.ok_or_else(|| {
            let names = || channels.iter().map(|channel| channel.name.as_str());
            let words = STATES.iter().map(|(word, ..)| *word);
            let words = words.chain(QUANTITIES.iter().map(|(word, ..)| *word));
            let near = nearest(name, names().chain(words));
            let near = near.map(|near| format!("did you mean `{near}`? ")).unwrap_or_default();
            let name = name.escape_debug();
            let what = format!("{} has no channel `{name}`", self.rig[place].words());
            let mend = format!("{near}it has {}", listed(names()));
            Refused::Absent(Mistake::new(at.clone(), what, mend))
        })
    }

    fn compiled(&self, whom: Whom, channel: usize) -> Option<&CompiledChannel> {
        self.mode(whom?)?.channels.get(channel)
    }

    fn is(
        &mut self,
        at: &Range<usize>,
        channel: &str,
        range: &RangeName,
        whom: Whom,
    ) -> Result<(), Refused> {
        let nth = self.channel(at, channel, whom)?;
        let head = self.head(at, whom, channel)?;
        let ranges = self.compiled(whom, nth).map_or(&[][..], |c| c.ranges.as_slice());
        let wanted = range.name.to_lowercase();
        let hyphened = wanted.replace(' ', "-");
        let is = |name: &str| name.to_lowercase() == wanted;
        let mut chosen: Vec<bool> = ranges.iter().map(|range| range.names().any(is)).collect();
        if !chosen.contains(&true) {
            // No range is called so: then those that do it.
            let does = |key: &str| key == hyphened || key == wanted;
            chosen = ranges.iter().map(|r| r.effects().any(|e| does(e.key()))).collect();
        }
        if !chosen.contains(&true) {
            let mut names: Vec<&str> = ranges.iter().flat_map(|range| range.names()).collect();
            names.dedup();
            let near = nearest(&range.name, names.iter().copied());
            let near = near.map(|near| format!("did you mean `{near}`? ")).unwrap_or_default();
            let what = format!("channel `{channel}` has no range `{}`", range.name.escape_debug());
            let mend = format!("{near}it has {}", listed(names));
            return Err(Refused::Absent(Mistake::new(range.at.clone(), what, mend)));
        }
        self.leaf(Some(head), Look::In(nth, chosen), at)
    }

    /// Lays out a number that counts `dim`.
    fn number(&mut self, expr: &Expr, dim: Dim, whom: Whom) -> Result<(), Refused> {
        let at = &expr.at;
        match &expr.node {
            Node::Number(value, _) => self.op(Op::Number(*value), at),
            Node::Slot(universe, slot) => self.leaf(None, Look::Slot(*universe, *slot), at),
            Node::Time => self.leaf(None, Look::Time, at),
            Node::Quantity(quantity) => {
                let head = self.head(at, whom, quantity.word())?;
                self.leaf(Some(head), Look::Quantity(*quantity), at)
            }
            Node::Channel(name) => self.value_of(at, name, dim, whom),
            Node::Minus(inner) => {
                self.number(inner, dim, whom)?;
                self.op(Op::Minus, at)
            }
            Node::Arith(arith, a, b) => {
                // A factor has no unit of its own; a quotient of two alike has none either.
                let (a_dim, b_dim) = match arith {
                    Arith::Add | Arith::Subtract => (dim, dim),
                    Arith::Multiply | Arith::Divide => {
                        let (a, b) = (self.dim(a)?, self.dim(b)?);
                        let own = if dim == Dim::Plain { a.or(b) } else { Some(dim) };
                        let plain = Dim::Plain;
                        match (a, b) {
                            (Some(_), Some(_)) => (a.unwrap_or(plain), b.unwrap_or(plain)),
                            (None, Some(b)) if *arith == Arith::Multiply => (plain, b),
                            _ => (own.unwrap_or(plain), plain),
                        }
                    }
                };
                self.number(a, a_dim, whom)?;
                self.number(b, b_dim, whom)?;
                self.op(Op::Arith(*arith), at)
            }
            Node::Of(subject, inner) => {
                let whom = self.whom(subject)?;
                self.number(inner, dim, whom.first().copied())
            }
            _ => Err(not_a_number(at).into()),
        }
    }

    /// The value of a channel, or what it asks for where a unit is wanted.
    fn value_of(
        &mut self,
        at: &Range<usize>,
        name: &str,
        dim: Dim,
        whom: Whom,
    ) -> Result<(), Refused> {
        let nth = self.channel(at, name, whom)?;
        let head = self.head(at, whom, name)?;
        if dim == Dim::Plain {
            return self.leaf(Some(head), Look::Raw(nth), at);
        }
        let ranges = self.compiled(whom, nth).map_or(&[][..], |c| c.ranges.as_slice());
        let units: Vec<Unit> =
            ranges.iter().filter_map(|range| Some(range.physical?.unit)).collect();
        match units.iter().find(|unit| Dim::from(**unit) == dim) {
            Some(unit) => self.leaf(Some(head), Look::Physical(nth, *unit), at),
            None => {
                let mut symbols: Vec<&str> = units.iter().map(|unit| unit.symbol()).collect();
                symbols.sort_unstable();
                symbols.dedup();
                let what = format!("channel `{name}` asks for nothing in {}", dim.name());
                let mend = format!("compare it with its value, or with {}", listed(symbols));
                Err(Refused::Absent(Mistake::new(at.clone(), what, mend)))
            }
        }
    }

    /// What both of two numbers count; `None` where that is open.
    fn common(&self, a: &Expr, b: &Expr) -> Result<Option<Dim>, Mistake> {
        let (of_a, of_b) = (self.dim(a)?, self.dim(b)?);
        match (of_a, of_b) {
            (Some(a_dim), Some(b_dim)) if a_dim != b_dim => {
                let what = format!("{} is compared with {}", b_dim.name(), a_dim.name());
                let mend = match a_dim {
                    Dim::Plain => "write it as a plain number, 0..255 of a slot".to_owned(),
                    _ => format!("write it in {}", a_dim.symbol()),
                };
                Err(Mistake::new(b.at.clone(), what, mend))
            }
            _ => Ok(of_a.or(of_b)),
        }
    }

    /// What a number counts; `None` where that is open: a number without a unit, a channel.
    fn dim(&self, expr: &Expr) -> Result<Option<Dim>, Mistake> {
        Ok(match &expr.node {
            Node::Number(_, dim) => *dim,
            Node::Slot(..) => Some(Dim::Plain),
            Node::Time => Some(Dim::Second),
            Node::Quantity(quantity) => Some(quantity.dim()),
            Node::Channel(_) => None,
            Node::Minus(inner) | Node::Of(_, inner) => self.dim(inner)?,
            Node::Arith(Arith::Add | Arith::Subtract, a, b) => self.common(a, b)?,
            Node::Arith(arith, a, b) => match (self.dim(a)?, self.dim(b)?) {
                (a, None | Some(Dim::Plain)) => a,
                (None | Some(Dim::Plain), b) if *arith == Arith::Multiply => b,
                (Some(a), Some(b)) if a == b && *arith == Arith::Divide => Some(Dim::Plain),
                _ => {
                    let mend = "multiply and divide by plain numbers";
                    let what = "these units cannot be put together";
                    return Err(Mistake::new(expr.at.clone(), what, mend));
                }
            },
            _ => return Err(not_a_number(&expr.at)),
        })
    }
}

fn not_a_number(at: &Range<usize>) -> Mistake {
    let mend = "put a number there, or `and` and `or` between things that are true or not";
    Mistake::new(at.clone(), "that is true or not, and no number", mend)
}

/// Refuses a slot compared with a number that no slot can hold: it would be so always, or never.
fn in_a_slot(a: &Expr, b: &Expr) -> Result<(), Mistake> {
    let number = match (&a.node, &b.node) {
        (Node::Slot(..), _) => b,
        (_, Node::Slot(..)) => a,
        _ => return Ok(()),
    };
    let value = match &number.node {
        Node::Number(value, _) => *value,
        Node::Minus(inner) => match &inner.node {
            Node::Number(value, _) => -*value,
            _ => return Ok(()),
        },
        _ => return Ok(()),
    };
    match (0.0..=255.0).contains(&value) {
        true => Ok(()),
        false => {
            let (what, mend) = ("no slot holds that number", "a slot holds 0..255");
            Err(Mistake::new(number.at.clone(), what, mend))
        }
    }
}
