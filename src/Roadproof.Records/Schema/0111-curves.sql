-- The curves that a step's checks were judged by, each with its features and verdict.
create table curve_check (
  unit text not null,
  step text not null,
  attempt integer not null,
  id text not null,                    -- screw group or reading
  sha256 text not null,
  verdict text,                        -- pass, fail, hold; null where it could not be judged
  judgement text,                      -- the whole verdict as JSON
  problem text not null,
  sequence integer not null,           -- the record that judged it
  step_sequence integer not null,      -- the record of the step's end
  primary key (unit, step, attempt, id)
) strict, without rowid;
create index curve_check_step on curve_check (step_sequence);

-- A curve may end before it shows an angle.
create table screw_of_a_curve (
  unit text not null,
  step text not null,
  attempt integer not null,
  screws text not null,                -- group
  number integer not null,
  torque_nm real not null,
  angle_deg real,
  verdict text not null,
  primary key (unit, step, attempt, screws, number)
) strict, without rowid;
insert into screw_of_a_curve select * from screw;
drop table screw;
alter table screw_of_a_curve rename to screw;
