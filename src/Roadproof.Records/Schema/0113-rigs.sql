-- Runs of reference units: what each said of its rig.
create table reference_run (
  sequence integer primary key,
  rig text not null,
  reference text not null,             -- id of the reference unit in the definitions
  kind text not null,                  -- sound, known-bad
  at text not null,
  outcome text not null,               -- good, out, stopped, passed, warm-up, problem
  reason text not null,
  verdict text,                        -- what a sound reference said, as JSON
  level text                           -- what the rig is known to read of it from now on, as JSON
) strict;
create index reference_run_rig on reference_run (rig, sequence);

-- Units whose verdict rests on a run that a rig may have judged wrong: what was stopped, and what had left already.
create table rig_suspect (
  unit text not null,
  rig text not null,
  attempt integer not null,
  sequence integer not null,           -- the reference run that found the rig wrong
  run_sequence integer not null,       -- the run that it makes doubtful
  primary key (unit, sequence)
) strict, without rowid;
create index rig_suspect_rig on rig_suspect (rig, sequence);

-- What the rig could show for itself when it judged, as JSON; null where its product asks for no reference units.
alter table load_test add column rig_standing text;
