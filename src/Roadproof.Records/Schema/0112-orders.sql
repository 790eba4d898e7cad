-- Production orders: what is built for whom, as which variant of a product.
create table work_order (
  work_order text primary key,
  product text not null,
  variant text,
  quantity integer not null,
  customer text,
  due_at text,
  state text not null,                 -- open, running, interrupted, finished, ended
  opened_at text not null,
  ended_at text,
  reason text,                         -- why it was ended short
  sequence integer not null
) strict;
create index work_order_state on work_order (state);

-- When which order ran: new units of the product took it then.
create table order_run (
  sequence integer primary key,        -- the record that started it
  work_order text not null,
  product text not null,
  line text not null,
  started_at text not null,
  ended_at text
) strict;
create index order_run_product on order_run (product, sequence);

-- What each station was set up for and from when on. Every change is a row: a late report is held against what stood when it happened.
create table station_setup (
  station text not null,
  sequence integer not null,
  work_order text,                     -- null: for none yet
  variant text,
  asked text,                          -- the order for which it has to be cleared
  since text not null,
  person text,                         -- who cleared it; null where an order's start left it as it was
  primary key (station, sequence)
) strict, without rowid;

-- The order that a unit is built for.
alter table unit add column work_order text;
create index unit_work_order on unit (work_order) where work_order is not null;

-- The record by which a lot was moved last: where it was used after that, it lies.
alter table lot add column moved integer;
