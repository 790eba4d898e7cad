-- When a lot was first used, and where it was used last: its open time runs from the first, and it is taken to lie at the other.
create table lot_opening (
  lot text primary key,
  part text not null,
  station text not null,
  opened_at text not null,
  sequence integer not null            -- the record of its last use
) strict, without rowid;
create index lot_opening_place on lot_opening (station, part);

-- How often a unit was sent back to work that lay behind it.
alter table unit add column repairs integer not null default 0;

-- What a person may do, from when and until when. Every grant is a row: what was done while it held stays right.
create table qualification (
  person text not null,                -- an opaque key
  qualification text not null,
  granted_at text not null,
  valid_until text not null,
  withdrawn_at text,
  sequence integer not null,
  primary key (person, qualification, sequence)
) strict, without rowid;

-- Calibrations of a station's tools and gauges.
create table calibration (
  station text not null,
  instrument text not null,
  calibrated_at text not null,
  due_at text not null,
  sequence integer not null,
  primary key (station, instrument, sequence)
) strict, without rowid;
