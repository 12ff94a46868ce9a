"""Asks the mix library through its example program, and counts what agrees."""
import json
import math
import subprocess


class Library:
    """The program that answers one JSON question a line."""

    def __init__(self, program):
        self.program = program

    def ask(self, questions):
        """The answers in the questions' order; a refusal is a document with `refused`."""
        lines = "".join(json.dumps(question) + "\n" for question in questions)
        run = subprocess.run([self.program], input=lines, capture_output=True, text=True, check=True)
        answers = [json.loads(line) for line in run.stdout.splitlines()]
        assert len(answers) == len(questions), f"{len(questions)} questions, {len(answers)} answers"
        return answers


class Tally:
    """What was compared under one name, and what differed."""

    def __init__(self, name):
        self.name, self.compared, self.wrong, self.worst = name, 0, [], 0.0

    def same(self, what, ours, theirs, share, floor=0.0):
        """Two numbers agree to a share of the second, or of `floor` where that is larger."""
        self.compared += 1
        if not isinstance(ours, (int, float)) or not math.isfinite(ours):
            self.wrong.append(f"{what}: {ours!r} is no number, should be {float(theirs)!r}")
            return
        off = abs(ours - theirs) / max(abs(theirs), floor, 1e-300)
        self.worst = max(self.worst, float(off))
        if off > share:
            self.wrong.append(f"{what}: the library says {ours!r}, the independent calculation {float(theirs)!r}")

    def holds(self, what, condition):
        """Something that is so or not."""
        self.compared += 1
        if not condition:
            self.wrong.append(what)

    def close(self, least):
        """Says how it went; whether nothing differed and enough was compared."""
        enough = self.compared >= least
        print(f"  {self.name}: {self.compared} compared, {len(self.wrong)} differ, worst {self.worst:.1e}"
              + ("" if enough else f"; at least {least} were expected"))
        for line in self.wrong[:10]:
            print(f"    {line}")
        return enough and not self.wrong
