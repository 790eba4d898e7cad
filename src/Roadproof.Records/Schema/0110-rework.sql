-- When a part came out again: a lot is found in every unit that it was in, with from and to.
alter table part_use add column out_at text;

-- Parts that a repair took out, and where each went.
create table part_out (
  sequence integer primary key,        -- the record of the swap
  unit text not null,
  part text not null,
  lot text,
  serial text,
  built_unit text,
  step text not null,                  -- the step that had put it in: from there on everything is passed again
  step_number integer not null,
  quantity integer not null,
  place text not null,                 -- scrap, stock, hold: where it is now
  reason text not null,
  at text not null,
  person text not null,
  settled integer not null default 0   -- the unit has gone back since, or was scrapped
) strict;
create index part_out_unit on part_out (unit);
create index part_out_serial on part_out (serial, part);
create index part_out_held on part_out (sequence) where place = 'hold';

-- What a repairer measured on a stopped unit.
create table rework_measurement (
  sequence integer primary key,
  unit text not null,
  id text not null,
  name text not null,
  value real,
  unit_word text not null,
  text text,
  at text not null,
  person text not null
) strict;
create index rework_measurement_unit on rework_measurement (unit);

-- What was found to be wrong, beside what the load test's diagnosis had put first.
create table rework_finding (
  sequence integer primary key,        -- the record that sent the unit back or scrapped it
  unit text not null,
  step text not null,                  -- where it had been stopped
  cause text not null,
  named text,                          -- the cause that the diagnosis put first; null where there was none
  named_word text,
  probability real,
  at text not null,
  person text not null
) strict;
