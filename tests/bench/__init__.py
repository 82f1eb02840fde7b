"""Speed and memory, run by hand: `python -m tests.bench`.

Never part of the suite: on a busy machine a clock fails what is right.
"""
