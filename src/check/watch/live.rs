//! A condition looked at while time plays, moment by moment.

use super::Watch;
use super::eval::{Moment, Standing, words};

/// What a condition stood at when it was looked at last.
#[derive(Clone, Debug)]
pub struct Live {
    standing: Standing,
    /// It was true; `None` before the first look.
    was_true: Option<bool>,
}

impl Live {
    /// Nothing was looked at yet.
    pub fn new(watch: &Watch) -> Self {
        Self { standing: Standing::new(&watch.program), was_true: None }
    }

    /// Whether it was true when it was looked at last; `None` before the first look.
    pub fn is_true(&self) -> Option<bool> {
        self.was_true
    }

    /// Looks at the whole rig of the show for which the condition was made ready. Gives what makes it true,
    /// in words, where it became so since the last look; what was true at the first look did not become so.
    pub fn look(&mut self, watch: &Watch, moment: Moment<'_>) -> Option<Vec<String>> {
        let program = &watch.program;
        let moment = Moment { places: &program.heads, ..moment };
        for head in 0..program.heads.len() {
            self.standing.look_at_head(program, head, moment);
        }
        self.standing.look_at_rest(program, moment.t_s, moment.frames);
        let is_true = self.standing.is_true(program);
        let was_true = self.was_true.replace(is_true);
        (is_true && was_true == Some(false)).then(|| {
            let reasons = self.standing.reasons(program);
            let told = reasons.iter().take(super::line::MOST_REASONS);
            told.map(|nth| words(&program.leaves[*nth], self.standing.leaves[*nth], moment))
                .collect()
        })
    }
}
