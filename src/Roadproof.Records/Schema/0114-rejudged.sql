-- Runs that were judged again because their rig had drifted; the first verdict stays where it is.
create table rejudged (
  sequence integer primary key,
  unit text not null,
  rig text not null,
  attempt integer not null,
  run_sequence integer not null,       -- the record that ended the run
  wrong_sequence integer not null,     -- the reference run that found the rig wrong
  at text not null,
  outcome text not null,               -- passes, fails, cannot-tell
  released integer not null,           -- its hold for the rig was lifted
  judgement text not null              -- the whole of it as JSON
) strict;
create index rejudged_run on rejudged (unit, run_sequence);
