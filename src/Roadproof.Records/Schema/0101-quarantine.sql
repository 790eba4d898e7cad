-- Messages that could not be understood, kept as they came until a person mends and replays them. No part of the ledger.
create table quarantine (
  id integer primary key,
  received_at text not null,
  station text not null,
  raw text not null,
  errors text not null,                -- JSON list of input errors
  state text not null,                 -- open, replayed, dropped
  closed_at text,
  closed_by text,
  replay_key text                      -- key of the mended message that was taken
) strict;
create index quarantine_open on quarantine (received_at) where state = 'open';
