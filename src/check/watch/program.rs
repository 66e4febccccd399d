//! A condition laid out flat for a rig: what is looked at, and what is worked out from that.
//!
//! Every value is a number; what is true is 1, what is not 0, and what is not known is no number (NaN). What
//! is not known is not true, and neither is its opposite.

use super::tree::{Arith, Compare};
use super::words::{Quantity, State};
use crate::wire::{Slot, Universe};

/// One step: takes what it needs off the stack, and puts its result there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Op {
    /// A number.
    Number(f64),
    /// What a leaf stands at.
    Leaf(u32),
    /// The opposite sign.
    Minus,
    /// Arithmetic.
    Arith(Arith),
    /// A comparison.
    Compare(Compare),
    /// The opposite.
    Not,
    /// Both.
    And,
    /// At least one.
    Or,
    /// It became true (or untrue, where `rises` is not) since it was looked at last.
    Edge {
        /// Where it is kept what it was.
        kept: u32,
        /// It is to become true.
        rises: bool,
    },
}

/// What is looked at.
#[derive(Clone, Debug, PartialEq)]
pub enum Look {
    /// The value of a slot.
    Slot(Universe, Slot),
    /// Seconds from the start.
    Time,
    /// A state of a head.
    State(State),
    /// A number of a head.
    Quantity(Quantity),
    /// The value of a channel, as a place in the mode.
    Raw(usize),
    /// What a channel asks for in this unit, as a place in the mode.
    Physical(usize, crate::profile::quantity::Unit),
    /// Whether a channel stands in one of these of its ranges.
    In(usize, Vec<bool>),
}

/// One thing that is looked at.
#[derive(Clone, Debug, PartialEq)]
pub struct Leaf {
    /// The head, as a place among those of the program; `None` for slots and time.
    pub head: Option<usize>,
    /// What of it.
    pub look: Look,
}

/// A condition, laid out.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Program {
    /// What is worked out, in order.
    pub ops: Vec<Op>,
    /// What is looked at.
    pub leaves: Vec<Leaf>,
    /// The heads it is about, as places in the rig.
    pub heads: Vec<usize>,
    /// How many edges keep what they were.
    pub kept: usize,
}

impl Program {
    /// Whether it asks for the time.
    pub fn has_time(&self) -> bool {
        self.leaves.iter().any(|leaf| leaf.look == Look::Time)
    }

    /// Works it out from what the leaves stand at. `kept` is what its edges were.
    pub fn run(&self, leaves: &[f64], kept: &mut [f64], stack: &mut Vec<f64>) -> f64 {
        stack.clear();
        for op in &self.ops {
            step(*op, leaves, kept, stack);
        }
        stack.pop().unwrap_or(f64::NAN)
    }

    /// The leaves that make it true, where it is: of what is joined by `or` those that are.
    pub fn reasons(&self, leaves: &[f64], kept: &[f64]) -> Vec<usize> {
        let mut kept = kept.to_vec();
        let mut stack = Vec::new();
        let mut because: Vec<Vec<usize>> = Vec::new();
        for op in &self.ops {
            let (a, b) = match stack.as_slice() {
                [.., a, b] => (*a, *b),
                _ => (f64::NAN, f64::NAN),
            };
            match *op {
                Op::Number(_) => because.push(Vec::new()),
                Op::Leaf(leaf) => because.push(vec![leaf as usize]),
                Op::Minus | Op::Not | Op::Edge { .. } => {}
                Op::Arith(_) | Op::Compare(_) | Op::And | Op::Or => {
                    let (right, mut left) =
                        (because.pop().unwrap_or_default(), because.pop().unwrap_or_default());
                    match *op {
                        // Only what is true makes it so; if neither is, both are why not.
                        Op::Or if a == 1.0 && b != 1.0 => {}
                        Op::Or if b == 1.0 && a != 1.0 => left = right,
                        Op::And if a == 0.0 && b != 0.0 => {}
                        Op::And if b == 0.0 && a != 0.0 => left = right,
                        _ => left.extend(right),
                    }
                    because.push(left);
                }
            }
            step(*op, leaves, &mut kept, &mut stack);
        }
        let mut reasons = because.pop().unwrap_or_default();
        let mut seen = vec![false; self.leaves.len()];
        reasons.retain(|leaf| seen.get_mut(*leaf).is_some_and(|s| !std::mem::replace(s, true)));
        reasons
    }
}

#[inline]
fn step(op: Op, leaves: &[f64], kept: &mut [f64], stack: &mut Vec<f64>) {
    let result = match op {
        Op::Number(value) => value,
        Op::Leaf(leaf) => leaves.get(leaf as usize).copied().unwrap_or(f64::NAN),
        Op::Minus => -pop(stack),
        Op::Not => 1.0 - pop(stack),
        Op::Edge { kept: place, rises } => {
            let now = pop(stack);
            let then = kept.get_mut(place as usize).map(|kept| std::mem::replace(kept, now));
            let (from, to) = if rises { (0.0, 1.0) } else { (1.0, 0.0) };
            // Where it was not known before, nobody can say that it changed.
            truth(then == Some(from) && now == to)
        }
        Op::Arith(_) | Op::Compare(_) | Op::And | Op::Or => {
            let (b, a) = (pop(stack), pop(stack));
            match op {
                Op::Arith(Arith::Add) => a + b,
                Op::Arith(Arith::Subtract) => a - b,
                Op::Arith(Arith::Multiply) => a * b,
                Op::Arith(Arith::Divide) if b == 0.0 => f64::NAN,
                Op::Arith(Arith::Divide) => a / b,
                Op::Compare(_) if a.is_nan() || b.is_nan() => f64::NAN,
                Op::Compare(compare) => truth(compare.holds(a, b)),
                Op::And if a == 0.0 || b == 0.0 => 0.0,
                Op::Or if a == 1.0 || b == 1.0 => 1.0,
                // Both are known and alike, or one is not known.
                _ => a + (b - a),
            }
        }
    };
    stack.push(result);
}

fn pop(stack: &mut Vec<f64>) -> f64 {
    stack.pop().unwrap_or(f64::NAN)
}

fn truth(is: bool) -> f64 {
    if is { 1.0 } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn run(ops: &[Op], leaves: &[f64]) -> f64 {
        let program = Program { ops: ops.to_vec(), ..Program::default() };
        program.run(leaves, &mut [f64::NAN], &mut Vec::new())
    }

    #[test]
    fn what_is_not_known_is_neither_true_nor_its_opposite() {
        let (a, b) = (Op::Leaf(0), Op::Leaf(1));
        assert!(run(&[a, Op::Not], &[f64::NAN]).is_nan());
        assert_eq!(run(&[a, b, Op::And], &[f64::NAN, 0.0]), 0.0);
        assert!(run(&[a, b, Op::And], &[f64::NAN, 1.0]).is_nan());
        assert_eq!(run(&[a, b, Op::Or], &[1.0, f64::NAN]), 1.0);
        assert!(run(&[a, b, Op::Or], &[0.0, f64::NAN]).is_nan());
        assert_eq!(run(&[a, b, Op::And], &[1.0, 1.0]), 1.0);
        assert_eq!(run(&[a, b, Op::Or], &[0.0, 0.0]), 0.0);
    }

    #[test]
    fn an_edge_is_a_change_between_two_looks() {
        let ops = vec![Op::Leaf(0), Op::Edge { kept: 0, rises: true }];
        let program = Program { ops, kept: 1, ..Program::default() };
        let (mut kept, mut stack) = ([f64::NAN], Vec::new());
        let seen: Vec<f64> = [1.0, 0.0, 1.0, 1.0]
            .iter()
            .map(|leaf| program.run(&[*leaf], &mut kept, &mut stack))
            .collect();
        assert_eq!(seen, [0.0, 0.0, 1.0, 0.0], "what it was at first is not known");
    }

    #[test]
    fn reasons_are_what_makes_it_true() {
        let leaf = |head| Leaf { head: Some(head), look: Look::State(State::Lit) };
        let ops = vec![Op::Leaf(0), Op::Leaf(1), Op::Or, Op::Leaf(2), Op::Or];
        let program = Program { ops, leaves: (0..3).map(leaf).collect(), ..Program::default() };
        assert_eq!(program.reasons(&[0.0, 1.0, 0.0], &[]), [1]);
        assert_eq!(program.reasons(&[1.0, 1.0, 0.0], &[]), [0, 1]);
    }
}
