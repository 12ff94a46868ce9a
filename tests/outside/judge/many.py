"""Judge many plans in one go: reads lines of `facts.json<TAB>plan.json` from stdin, prints one JSON document a line."""
import json, pathlib, sys

sys.path.insert(0, str(pathlib.Path(__file__).parent))
sys.dont_write_bytecode = True
from judge import judge

for line in sys.stdin:
    facts, plan = (json.load(open(path)) for path in line.rstrip("\n").split("\t"))
    try:
        figures, broken = judge(facts, plan)
    except (KeyError, TypeError, ValueError, AttributeError, IndexError) as error:
        figures, broken = {}, [f"cannot be read: {error!r}"]
    print(json.dumps({"holds": not broken, "broken": broken[:5], "figures": figures}))
