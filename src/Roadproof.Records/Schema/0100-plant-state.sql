-- What the ledger says of units, lots and stations, laid out for questions. Every row comes from a ledger record:
-- clearing these tables and applying the ledger again gives the same rows. Times are UTC text of one width, so that they sort.

create table unit (
  unit text primary key,               -- shell code
  serial text unique,
  product text not null,
  revision text not null,
  state text not null,                 -- building, held, passed, shipped, scrapped
  next_step text,                      -- null once the route is through
  next_number integer,
  ready_since text not null,           -- since when it waits for its next step
  good integer not null default 0,     -- the load test stands as passed
  started_at text not null,
  stopped_at text,                     -- first time a step failed, held or had to be repeated
  shipped_at text,
  scrapped_at text,
  scrap_reason text,
  customer text,
  box text,
  sequence integer not null            -- its first record
) strict;
create index unit_next on unit (next_step, state);
create index unit_state on unit (state, started_at);
create index unit_started on unit (started_at);
create index unit_shipped on unit (shipped_at);
create index unit_stopped on unit (stopped_at);

create table unit_step (
  unit text not null,
  step text not null,
  attempt integer not null,
  number integer not null,
  station text not null,
  began_at text,
  ended_at text,
  verdict text,                        -- pass, fail, hold, waiting; null while it runs
  stands integer not null default 0,   -- counts as done: passed, or held and let go on by a person
  safety_failed integer not null default 0,
  sent_back integer not null default 0, -- has to be done again
  repaired integer not null default 0, -- sent back to a step before it: a later attempt is no plain second chance
  word text not null default '',
  person text not null default '',
  sequence integer not null,           -- the record of its end, or of its begin while it runs
  primary key (unit, step, attempt)
) strict, without rowid;
create index unit_step_station on unit_step (station, ended_at);
create index unit_step_waiting on unit_step (sequence) where verdict = 'waiting';

create table part_use (
  unit text not null,
  part text not null,
  lot text,
  serial text,
  step text not null,
  step_number integer not null,
  attempt integer not null,
  used_at text not null,
  sequence integer not null,
  replaced integer                     -- the record that took it out again
) strict;
create index part_use_unit on part_use (unit);
create index part_use_lot on part_use (lot, unit);
create index part_use_serial on part_use (serial, part);

create table reading (
  unit text not null,
  step text not null,
  attempt integer not null,
  id text not null,
  station text not null,
  taken_at text not null,
  value real,
  unit_word text not null,
  text text,
  verdict text,                        -- null where the reading is a text without a rule
  judgement text,                      -- the requirement reading as JSON
  sequence integer not null,
  primary key (unit, step, attempt, id)
) strict, without rowid;

create table screw (
  unit text not null,
  step text not null,
  attempt integer not null,
  screws text not null,                -- group
  number integer not null,
  torque_nm real not null,
  angle_deg real not null,
  verdict text not null,
  primary key (unit, step, attempt, screws, number)
) strict, without rowid;

create table lot (
  lot text primary key,
  part text not null,
  quantity integer not null,
  used integer not null default 0,
  expires_at text,
  state text not null,                 -- open, held
  reason text,
  received_at text not null,
  held_at text
) strict;
create index lot_expiry on lot (expires_at);

create table hold (
  id integer primary key,
  unit text not null,
  reason text not null,
  cause text not null,                 -- step:ID, report, person, lot:LOT
  at text not null,
  by text not null,
  sequence integer not null,
  released_at text,
  release_reason text,
  released_by text,
  release_sequence integer
) strict;
create index hold_unit on hold (unit);
create index hold_open on hold (cause, unit) where released_at is null;

create table refusal (
  sequence integer primary key,
  station text not null,
  item text not null,
  step text not null,
  at text not null,
  reason text not null,
  remedy text not null,
  needed text not null,
  found text not null
) strict;
create index refusal_station on refusal (station, sequence);
create index refusal_at on refusal (at);

create table capture (
  sha256 text primary key,
  state text not null,                 -- kept, retired
  bytes integer not null,
  at text not null
) strict;

create table capture_ref (
  sha256 text not null,
  unit text not null,
  step text not null,
  attempt integer not null,
  name text not null,
  state text not null,                 -- awaited, kept, retired
  named_at text not null,
  sequence integer not null,
  primary key (sha256, unit, step, attempt)
) strict, without rowid;
create index capture_ref_unit on capture_ref (unit);
create index capture_ref_awaited on capture_ref (named_at) where state = 'awaited';

create table load_test (
  sequence integer primary key,        -- the record that judged it, or the step's own record while nothing has
  step_sequence integer not null,      -- the record of the step's end
  unit text not null,
  rig text not null,
  attempt integer not null,
  at text not null,
  state text not null,                 -- waiting, judged, problem
  verdict text,                        -- pass, fail, hold
  judgement text,                      -- the whole verdict as JSON
  problem text not null,
  method text not null
) strict;
create index load_test_unit on load_test (unit, attempt);
create index load_test_at on load_test (at);

create table station_state (
  station text primary key,
  unit text,
  step text,
  since text not null,
  accepted_sequence integer not null default 0,
  accepted_at text
) strict;

create table unit_residual (
  unit text primary key,
  rig text not null,
  sigmas text not null                 -- JSON: characteristic → residual of the first run in standard deviations
) strict, without rowid;

create table lot_shift (
  lot text not null,
  part text not null,
  family text not null,
  characteristic text not null,
  sequence integer not null,
  at text not null,
  finding text not null,               -- the finding as JSON
  primary key (lot, family)
) strict, without rowid;
