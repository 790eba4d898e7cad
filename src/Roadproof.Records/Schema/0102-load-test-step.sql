-- A step is asked for its runs whenever captures arrive, and retention asks it of every run.
create index load_test_step on load_test (step_sequence);
