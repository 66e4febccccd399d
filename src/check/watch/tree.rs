//! A condition as it was read: what is asked of whom.

use std::ops::Range;

use super::words::{Dim, Quantity, State};
use crate::wire::{Slot, Universe};

/// A part of a condition, with its place in the text.
#[derive(Clone, Debug, PartialEq)]
pub struct Expr {
    /// Where it stands, in bytes.
    pub at: Range<usize>,
    /// What it is.
    pub node: Node,
}

/// What a part of a condition is.
#[derive(Clone, Debug, PartialEq)]
pub enum Node {
    /// A number, with its unit where it has one.
    Number(f64, Option<Dim>),
    /// The value of a slot.
    Slot(Universe, Slot),
    /// Seconds from the start.
    Time,
    /// A number of the fixture that is spoken of.
    Quantity(Quantity),
    /// A state of the fixture that is spoken of.
    State(State),
    /// A channel of it, by name: its value, or what it asks for where it is compared with a unit.
    Channel(String),
    /// A channel stands in a range of this name or effect.
    Is(String, RangeName),
    /// What it holds of became true (`true`) or untrue just now.
    Edge(Box<Expr>, bool),
    /// A sign before a number.
    Minus(Box<Expr>),
    /// Arithmetic.
    Arith(Arith, Box<Expr>, Box<Expr>),
    /// A comparison of two numbers.
    Compare(Compare, Box<Expr>, Box<Expr>),
    /// The opposite.
    Not(Box<Expr>),
    /// Both.
    And(Box<Expr>, Box<Expr>),
    /// At least one.
    Or(Box<Expr>, Box<Expr>),
    /// Whom all within is about.
    Of(Subject, Box<Expr>),
}

/// The name of a range, and where it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct RangeName {
    /// Its label, the name of its wheel slot, or the stable name of its effect.
    pub name: String,
    /// Where it stands, in bytes.
    pub at: Range<usize>,
}

/// Two numbers put together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Arith {
    /// Plus.
    Add,
    /// Minus.
    Subtract,
    /// Times.
    Multiply,
    /// Divided by; by 0 gives no number.
    Divide,
}

/// How two numbers are compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Compare {
    /// Less.
    Less,
    /// Less or equal.
    AtMost,
    /// Equal, but for float noise.
    Equal,
    /// Not equal.
    Differs,
    /// Greater or equal.
    AtLeast,
    /// Greater.
    Greater,
}

impl Compare {
    /// What a sign means.
    pub fn of(sign: &str) -> Option<Self> {
        Some(match sign {
            "<" => Self::Less,
            "<=" => Self::AtMost,
            "=" => Self::Equal,
            "!=" => Self::Differs,
            ">=" => Self::AtLeast,
            ">" => Self::Greater,
            _ => return None,
        })
    }

    /// Whether it holds of two numbers; numbers within a thousand millionth of each other are equal.
    pub fn holds(self, a: f64, b: f64) -> bool {
        let equal = (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1.0);
        match self {
            Self::Less => a < b && !equal,
            Self::AtMost => a <= b || equal,
            Self::Equal => equal,
            Self::Differs => !equal,
            Self::AtLeast => a >= b || equal,
            Self::Greater => a > b && !equal,
        }
    }
}

/// Whom a part of a condition is about.
#[derive(Clone, Debug, PartialEq)]
pub struct Subject {
    /// Where it stands, in bytes; empty where it was not written.
    pub at: Range<usize>,
    /// One, any, or all.
    pub how: How,
    /// Who; every fixture where it is empty.
    pub who: Vec<Who>,
}

/// Of how many fixtures something is to hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum How {
    /// Of this one.
    One,
    /// Of at least one.
    Any,
    /// Of each.
    All,
    /// Of none.
    No,
}

/// Some fixtures.
#[derive(Clone, Debug, PartialEq)]
pub enum Who {
    /// By number, from the first to the last.
    Numbers(u32, u32),
    /// By their model (`maker model`, or its end) or the beginning of their label.
    Named(String),
}
