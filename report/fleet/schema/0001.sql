-- Tables of a fleet, one source for both engines. {text} is text compared byte by byte. A moment is
-- text here, RFC 3339 in UTC with six decimals, and a {time} in the views. Ids are made of what they
-- stand for: the first 63 bits of its SHA-256. NULL is not known, never 0.

CREATE TABLE procedures (
  id BIGINT PRIMARY KEY,
  name {text},
  definition {text},
  window_low_j_per_m DOUBLE PRECISION,
  window_high_j_per_m DOUBLE PRECISION
);

CREATE TABLE jobs (
  id BIGINT PRIMARY KEY,
  digest {text} NOT NULL UNIQUE,
  begins {text} NOT NULL,
  groups BIGINT,
  current BOOLEAN NOT NULL,
  replaces BIGINT,
  outcome {text} NOT NULL,
  record {text} NOT NULL,
  job {text},
  procedure BIGINT NOT NULL REFERENCES procedures (id),
  operator {text},
  inspector {text},
  box {text},
  decision_rule {text},
  simulated BOOLEAN,
  created {text},
  started {text},
  ended {text},
  taken_in {text} NOT NULL,
  passes BIGINT NOT NULL,
  proved_passes BIGINT,
  open_events BIGINT NOT NULL
);
CREATE INDEX jobs_by_record ON jobs (begins);
CREATE INDEX jobs_by_taking_in ON jobs (taken_in, id);

CREATE TABLE passes (
  job BIGINT NOT NULL REFERENCES jobs (id),
  number BIGINT NOT NULL,
  layer BIGINT,
  pattern {text},
  started {text},
  ended {text},
  elapsed_s DOUBLE PRECISION,
  arc_time_s DOUBLE PRECISION,
  arc_on_ratio DOUBLE PRECISION,
  planned_arc_on_ratio DOUBLE PRECISION,
  voltage_mean_v DOUBLE PRECISION,
  current_mean_a DOUBLE PRECISION,
  power_mean_w DOUBLE PRECISION,
  power_basis {text},
  energy_j DOUBLE PRECISION,
  wire_m DOUBLE PRECISION,
  deposit_kg DOUBLE PRECISION,
  turns DOUBLE PRECISION,
  travel_m DOUBLE PRECISION,
  travel_speed_m_per_s DOUBLE PRECISION,
  travel_basis {text},
  arc_energy_j_per_m DOUBLE PRECISION,
  heat_input_j_per_m DOUBLE PRECISION,
  judged_expanded_uncertainty_j_per_m DOUBLE PRECISION,
  verdict {text},
  gap_s DOUBLE PRECISION,
  findings BIGINT NOT NULL,
  proved BOOLEAN,
  barred_by {text},
  PRIMARY KEY (job, number)
);

CREATE TABLE findings (
  job BIGINT NOT NULL REFERENCES jobs (id),
  number BIGINT NOT NULL,
  event BIGINT,
  rule {text} NOT NULL,
  pass BIGINT,
  layer BIGINT,
  angle_deg DOUBLE PRECISION,
  angle_expanded_uncertainty_deg DOUBLE PRECISION,
  depth_m DOUBLE PRECISION,
  started {text},
  duration_s DOUBLE PRECISION,
  worst DOUBLE PRECISION,
  limit_passed DOUBLE PRECISION,
  beyond DOUBLE PRECISION,
  unit {text},
  sentence {text},
  state {text} NOT NULL,
  PRIMARY KEY (job, number)
);

CREATE TABLE events (
  job BIGINT NOT NULL REFERENCES jobs (id),
  number BIGINT NOT NULL,
  cause {text} NOT NULL,
  lead BIGINT,
  pass BIGINT,
  layer BIGINT,
  angle_deg DOUBLE PRECISION,
  angle_expanded_uncertainty_deg DOUBLE PRECISION,
  depth_m DOUBLE PRECISION,
  started {text},
  sentence {text},
  state {text} NOT NULL,
  open_findings BIGINT NOT NULL,
  waits_since {text},
  PRIMARY KEY (job, number)
);
-- waits_since is NULL of an event that is closed, and of a state that another one replaced.
CREATE INDEX events_open ON events (waits_since) WHERE waits_since IS NOT NULL;

CREATE TABLE dispositions (
  job BIGINT NOT NULL REFERENCES jobs (id),
  finding BIGINT NOT NULL,
  entry BIGINT NOT NULL,
  stands BOOLEAN NOT NULL,
  put_down {text},
  decided_by {text},
  signed_by {text},
  method {text},
  result {text},
  decision {text},
  remark {text},
  PRIMARY KEY (job, finding, entry)
);

CREATE TABLE checks (
  job BIGINT NOT NULL REFERENCES jobs (id),
  number BIGINT NOT NULL,
  subject {text} NOT NULL,
  channel {text},
  box {text},
  done {text},
  done_by {text},
  instrument {text},
  certificate {text},
  due {text},
  taken_over_from {text},
  sentence {text},
  PRIMARY KEY (job, number)
);

CREATE TABLE calibrations (
  job BIGINT NOT NULL REFERENCES jobs (id),
  number BIGINT NOT NULL,
  channel {text} NOT NULL,
  box {text},
  gain DOUBLE PRECISION,
  offset_in_unit_of_channel DOUBLE PRECISION,
  relative_standard_uncertainty DOUBLE PRECISION,
  degrees_of_freedom DOUBLE PRECISION,
  done {text},
  due {text},
  certificate {text},
  PRIMARY KEY (job, number)
);

CREATE TABLE boxes (
  job BIGINT NOT NULL REFERENCES jobs (id),
  number BIGINT NOT NULL,
  box {text},
  name {text},
  firmware {text},
  link {text},
  unprotected BOOLEAN,
  PRIMARY KEY (job, number)
);
CREATE INDEX boxes_by_name ON boxes (box);

-- What follows is worked out of the tables above, for the questions.

-- The newest calibration of each channel of each box.
CREATE TABLE newest_calibrations (
  holder {text} NOT NULL,
  channel {text} NOT NULL,
  box {text},
  done {text} NOT NULL,
  due {text},
  certificate {text},
  job BIGINT NOT NULL REFERENCES jobs (id),
  PRIMARY KEY (holder, channel)
);
CREATE INDEX calibrations_due ON newest_calibrations (due);

-- How many: 'proof' has passes of a procedure, 'bar' what keeps them from being proved, 'open' the
-- open events of a cause, 'undated' jobs without a date.
CREATE TABLE tallies (
  question {text} NOT NULL,
  procedure BIGINT NOT NULL,
  word {text} NOT NULL,
  n BIGINT NOT NULL,
  PRIMARY KEY (question, procedure, word)
);

-- Which jobs have passes that something keeps from being proved.
CREATE TABLE barred (
  procedure BIGINT NOT NULL,
  kind {text} NOT NULL,
  at_us BIGINT NOT NULL,
  job BIGINT NOT NULL REFERENCES jobs (id),
  pass BIGINT NOT NULL,
  passes BIGINT NOT NULL,
  PRIMARY KEY (procedure, kind, at_us, job)
);

-- Control charts: sums over their points in the order of time.
CREATE TABLE charts (
  id BIGINT PRIMARY KEY,
  measure {text} NOT NULL,
  side {text} NOT NULL,
  procedure BIGINT NOT NULL REFERENCES procedures (id),
  member {text},
  passes BIGINT NOT NULL,
  n BIGINT NOT NULL,
  total DOUBLE PRECISION NOT NULL,
  squares DOUBLE PRECISION NOT NULL,
  ranges DOUBLE PRECISION NOT NULL,
  products DOUBLE PRECISION NOT NULL,
  first_value DOUBLE PRECISION,
  last_value DOUBLE PRECISION,
  need DOUBLE PRECISION
);
-- need is how far the newest point lies from the mean, as a share of the way to the limit; -1 where
-- there are no limits, NULL where there is no point left.
CREATE INDEX charts_by_need ON charts (measure, side, need DESC, n DESC, id) WHERE need IS NOT NULL;

-- A point is one job on one chart: the mean of its passes that belong there.
CREATE TABLE points (
  chart BIGINT NOT NULL REFERENCES charts (id),
  at_us BIGINT NOT NULL,
  job BIGINT NOT NULL REFERENCES jobs (id),
  value DOUBLE PRECISION NOT NULL,
  passes BIGINT NOT NULL,
  pass BIGINT NOT NULL,
  PRIMARY KEY (chart, at_us, job)
);
CREATE INDEX barred_by_job ON barred (job);
CREATE INDEX points_by_value ON points (chart, value);
CREATE INDEX points_by_job ON points (job);
