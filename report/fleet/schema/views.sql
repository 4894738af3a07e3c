-- Views for any tool: of each record its newest state alone, by its digest. Made anew at every migration.
CREATE VIEW fleet_jobs AS SELECT j.digest, j.begins AS record_begins, j.record, j.job, p.name AS procedure, p.definition, j.decision_rule,
  p.window_low_j_per_m, p.window_high_j_per_m, j.operator, j.inspector, j.box, j.simulated, CAST(j.created AS {time}) AS created,
  CAST(j.started AS {time}) AS started, CAST(j.ended AS {time}) AS ended, CAST(j.taken_in AS {time}) AS taken_in, j.passes, j.proved_passes, j.open_events
  FROM jobs j JOIN procedures p ON p.id = j.procedure WHERE j.current;
CREATE VIEW fleet_passes AS SELECT j.digest, j.record, t.number AS pass, t.layer, t.pattern, CAST(t.started AS {time}) AS started, CAST(t.ended AS {time}) AS ended,
  t.elapsed_s, t.arc_time_s, t.arc_on_ratio, t.planned_arc_on_ratio, t.voltage_mean_v, t.current_mean_a, t.power_mean_w, t.power_basis, t.energy_j,
  t.wire_m, t.deposit_kg, t.turns, t.travel_m, t.travel_speed_m_per_s, t.travel_basis, t.arc_energy_j_per_m, t.heat_input_j_per_m,
  t.judged_expanded_uncertainty_j_per_m, t.verdict, t.gap_s, t.findings, t.proved, t.barred_by
  FROM passes t JOIN jobs j ON j.id = t.job WHERE j.current;
CREATE VIEW fleet_findings AS SELECT j.digest, j.record, t.number AS finding, t.event, t.rule, t.pass, t.layer, t.angle_deg, t.angle_expanded_uncertainty_deg,
  t.depth_m, CAST(t.started AS {time}) AS started, t.duration_s, t.worst, t.limit_passed, t.beyond, t.unit, t.sentence, t.state
  FROM findings t JOIN jobs j ON j.id = t.job WHERE j.current;
CREATE VIEW fleet_events AS SELECT j.digest, j.record, t.number AS event, t.cause, t.lead, t.pass, t.layer, t.angle_deg, t.angle_expanded_uncertainty_deg,
  t.depth_m, CAST(t.started AS {time}) AS started, t.sentence, t.state, t.open_findings
  FROM events t JOIN jobs j ON j.id = t.job WHERE j.current;
CREATE VIEW fleet_dispositions AS SELECT j.digest, j.record, t.finding, t.entry, t.stands, CAST(t.put_down AS {time}) AS put_down, t.decided_by, t.signed_by,
  t.method, t.result, t.decision, t.remark
  FROM dispositions t JOIN jobs j ON j.id = t.job WHERE j.current;
CREATE VIEW fleet_checks AS SELECT j.digest, j.record, t.number AS check_number, t.subject, t.channel, t.box, CAST(t.done AS {time}) AS done, t.done_by, t.instrument,
  t.certificate, t.due, t.taken_over_from, t.sentence
  FROM checks t JOIN jobs j ON j.id = t.job WHERE j.current;
CREATE VIEW fleet_calibrations AS SELECT j.digest, j.record, t.channel, t.box, t.gain, t.offset_in_unit_of_channel, t.relative_standard_uncertainty,
  t.degrees_of_freedom, t.done, t.due, t.certificate
  FROM calibrations t JOIN jobs j ON j.id = t.job WHERE j.current;
CREATE VIEW fleet_boxes AS SELECT j.digest, j.record, t.box, t.name, t.firmware, t.link, t.unprotected
  FROM boxes t JOIN jobs j ON j.id = t.job WHERE j.current;
CREATE VIEW fleet_procedures AS SELECT p.name AS procedure, p.definition, p.window_low_j_per_m, p.window_high_j_per_m,
  count(j.id) AS jobs, sum(j.passes) AS passes
  FROM procedures p LEFT JOIN jobs j ON j.procedure = p.id AND j.current GROUP BY p.id, p.name, p.definition, p.window_low_j_per_m, p.window_high_j_per_m;
