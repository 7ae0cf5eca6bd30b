"""Print the score of the odd folders: python -m tests.strangers [--as-they-are] [case ...]."""

import sys
import tempfile
from pathlib import Path

from pipelines import flow
from tests.strangers.folders import KEY, load
from tests.strangers.scoring import as_table, score

words = sys.argv[1:]
answered = "--as-they-are" not in words
cases = [word for word in words if not word.startswith("-")] or list(KEY)
scores = {}
for case in cases:
    with tempfile.TemporaryDirectory() as folder:
        home = flow.find_home(Path(folder))
        outcomes = load(home, case, answered=answered)
        scores[case] = score(home, KEY[case])
        if len(cases) < 4:
            for one in outcomes:
                print(one.file, one.tables, one.rows_read, one.stored, one.set_aside, one.problem)
                for note in one.notes:
                    print("    :", note)
                for reason in one.reasons[:12]:
                    print("   ", reason)
                for question in one.questions:
                    print("   ?", question.ask, question.about, question.answers[:3])
print(as_table(scores))
