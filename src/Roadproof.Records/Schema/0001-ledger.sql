-- The ledger: what happened on the line, in the order in which it was kept. Everything else can be rebuilt from it.
create table ledger (
  sequence      integer primary key,
  key           text    not null unique,
  kind          text    not null,
  item          text    not null,
  station       text    not null,
  occurred_at   text    not null,   -- the sender's clock, with its offset
  received_at   text    not null,   -- the line's clock, UTC
  skew_ms       integer not null,   -- received - occurred, rounded down
  person        text    not null,
  body          text    not null,   -- canonical JSON (RFC 8785)
  body_version  integer not null,
  previous_hash blob    not null,   -- of the record before it on the same item
  hash          blob    not null
) strict;

create index ledger_item on ledger (item, sequence);
create index ledger_capture on ledger (item, kind) where kind in ('capture-kept', 'capture-retired');

create trigger ledger_stays before update on ledger
begin
  select raise(abort, 'The ledger is append-only: add a correcting record that points at this one.');
end;

create trigger ledger_keeps before delete on ledger
begin
  select raise(abort, 'The ledger is append-only: nothing is deleted; add a correcting record that points at this one.');
end;

-- Where the ledger ends: its size, its root and the peaks of its hash tree (32 bytes each, left to right), so that a start reads one row.
create table ledger_tip (
  id     integer primary key check (id = 1),
  size   integer not null,
  root   blob    not null,
  peaks  blob    not null,
  -- The highest schema number that the derived tables were filled under; they are rebuilt when it moves.
  derived_schema integer not null
) strict;

-- Heads kept on the way: roots that a later state of the ledger must still lead to.
create table ledger_head (
  size integer primary key,
  root blob not null
) strict;

create trigger ledger_head_stays before update on ledger_head
begin
  select raise(abort, 'A head of the ledger is kept for ever.');
end;

create trigger ledger_head_keeps before delete on ledger_head
begin
  select raise(abort, 'A head of the ledger is kept for ever.');
end;
