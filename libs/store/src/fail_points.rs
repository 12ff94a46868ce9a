//! Named steps at which a test has the process die on the spot, to see that what it leaves behind is whole.
//!
//! They are there in builds with debug assertions only (the development profile). In any other build [`reached`] is empty
//! and [`arm`] refuses. Nothing is armed unless the program says so when it starts.

/// Every step by its name, in the order they are passed: of a day's tickets, of a completion, of an arrival, of an order sent out, of what is
/// kept for an Idempotency-Key, of a planning run.
pub const ALL: [&str; 24] = [
    "issue.decided",
    "issue.day",
    "issue.tickets",
    "issue.written",
    "issue.kept",
    "complete.decided",
    "complete.first-draw",
    "complete.draws",
    "complete.lots",
    "complete.closed",
    "receive.noted",
    "receive.entered",
    "dispatch.decided",
    "dispatch.first-lot",
    "dispatch.lots",
    "dispatch.hardware",
    "dispatch.order",
    "answer.written",
    "answer.kept",
    "plan.begun",
    "plan.made",
    "plan.written",
    "plan.in-force",
    "plan.kept",
];

#[cfg(debug_assertions)]
mod armed {
    use std::sync::OnceLock;

    /// The one step at which this process dies.
    static ARMED: OnceLock<String> = OnceLock::new();

    /// Has this process die where it first reaches the step of that name.
    ///
    /// # Errors
    /// A sentence where there is no such step, or one is armed already.
    pub fn arm(name: &str) -> Result<(), String> {
        if !super::ALL.contains(&name) {
            return Err(format!("there is no step '{name}' to die at; there are {}", super::ALL.join(", ")));
        }
        ARMED.set(name.to_owned()).map_err(|_| "a step to die at is armed already".to_owned())
    }

    /// Says that a step is reached: where it is the one armed, the process ends as if it had been killed. Nothing is
    /// unwound, flushed or closed.
    pub fn reached(name: &str) {
        debug_assert!(super::ALL.contains(&name), "{name} is not on the list of steps");
        if ARMED.get().is_some_and(|armed| armed == name) {
            std::process::abort();
        }
    }
}

#[cfg(not(debug_assertions))]
mod armed {
    /// Refuses: there are no steps to die at in this build.
    ///
    /// # Errors
    /// Always.
    pub fn arm(_: &str) -> Result<(), String> {
        Err("this program was built without steps to die at: build it with debug assertions".to_owned())
    }

    /// Nothing.
    #[inline(always)]
    pub fn reached(_: &str) {}
}

pub use armed::{arm, reached};
