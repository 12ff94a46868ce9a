"use strict";
// What the script of the pages says. It is served in one file with the script, and stands before it.

const words = {
  waiting: (n) => (n === 1 ? "1 entry is kept on this device and sent as soon as the service answers." : `${n} entries are kept on this device and sent as soon as the service answers.`),
  ofAnother: (n, who) => `${n === 1 ? "1 entry is" : `${n} entries are`} kept on this device that ${who ? `${who} made` : "nobody signed in for"}; ${n === 1 ? "it is" : "they are"} not sent under another name.`,
  underMine: (who) => (who ? `Send under the name ${who}` : "Send without a name"),
  refused: (what, why) => `${what} was not taken: ${why}`,
  entered: (what) => `Entered was: ${what}.`,
  again: "Send it again",
  throwAway: "Throw it away",
  kept: "Kept on this device; it will be sent.",
  done: "Done.",
  promise: (day) => `Promise ${day}`,
  noQuote: "When it could be ready cannot be asked just now; the order can be taken all the same.",
  noRoom: "This browser lets nothing be kept (private window, or full), so nothing was sent: allow it, and try again.",
  imported: (found, check) => {
    const many = `${found.entries} entries: ${found.new} new, ${found.changed} changed, ${found.unchanged} as they were.`;
    if (found.faults.length) return `Nothing can be taken before these are mended. ${many}`;
    return check ? `Nothing is wrong with it. ${many} Press the button to take it.` : `Taken. ${many}`;
  },
  line: (number) => `line ${number}`,
  noAnswer: "The service does not answer. Look whether it was made before you make it again.",
  shownOnce: "Copy it now: it is shown this one time.",
  signIn: "Sign in again, then it is sent.",
  planning: (run) => {
    const stop = run.stop_asked_at ? " It is asked to stop." : "";
    if (run.state === "waiting") return `Planning: the run waits for the worker.${stop}`;
    if (!run.best) return `Planning: a new plan is being made.${stop}`;
    const gap = Math.round(100 * run.gap);
    return `Planning, ${Math.round(run.seconds)} s: ${run.best.order_days_late} order-days late in the best plan so far, no plan can have fewer than ${decimal(run.bound_order_days_late.toFixed(1))}, a gap of ${gap} %.${stop}`;
  },
};

