"""``python -m tests.judgement.written``: each draft rule put aside in turn, and the written cases that then fail."""

import sys

from tests.judgement.written.each_off import failing
from tests.judgement.written.test_written import CASES

for rule, missed in failing(CASES):
    sys.stdout.write(f"{rule}: {', '.join(missed) or 'NO CASE'}\n")
