"""Schedules: the tables that go with a job, worked out of the plan."""
