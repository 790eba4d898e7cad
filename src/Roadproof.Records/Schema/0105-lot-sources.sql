-- Which lots a lot was made of: one where it was split off, several where they were poured together. And where a lot lies.
create table lot_source (
  lot text not null,
  source text not null,
  quantity integer not null,           -- pieces that came from it
  sequence integer not null,
  primary key (lot, source)
) strict, without rowid;
create index lot_source_source on lot_source (source);
alter table lot add column station text;    -- the station that it was brought to last; null: in the store
alter table lot add column brought_at text;
create index lot_held on lot (lot) where state = 'held';
create index lot_part on lot (part);
create index lot_station on lot (station) where station is not null;
