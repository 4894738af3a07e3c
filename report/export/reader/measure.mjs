// Measures what DuckDB makes of the samples of an export: node measure.mjs EXPORT.parquet FOLDER.
// Prints bytes, and seconds of processor time of all its threads, as JSON.
import { DuckDBInstance } from "@duckdb/node-api";
import { statSync } from "node:fs";

const [samples, folder] = process.argv.slice(2);
const scans = 5;
const connection = await (await DuckDBInstance.create()).connect();

// seconds is the processor time of some statements.
async function seconds(...statements) {
  const before = process.cpuUsage();
  for (const statement of statements) await connection.run(statement);
  const { user, system } = process.cpuUsage(before);
  return (user + system) / 1e6;
}

// The codes alone, without times: no table of the samples can be smaller.
const codes = "SELECT round(voltage_v / 0.01)::SMALLINT v, round(current_a / 0.1)::SMALLINT i FROM whole";
const scan = (from) => Array(scans).fill(`SELECT sum(v), sum(i), max(v), max(i) FROM ${from}`);
const own = `${folder}/codes.duckdb`, columns = `${folder}/codes.parquet`, again = `${folder}/samples.parquet`;

await connection.run(`CREATE TABLE whole AS FROM '${samples}'`);
await connection.run(`CREATE TABLE codes AS ${codes}`);
const answer = { values: 2 * Number((await connection.runAndReadAll("SELECT count(*) FROM codes")).getRows()[0][0]) };
answer.table_write = await seconds(`ATTACH '${own}' AS kept`, "CREATE TABLE kept.codes AS FROM codes", "CHECKPOINT kept", "DETACH kept");
await connection.run(`ATTACH '${own}' AS kept`);
answer.table_scan = (await seconds(...scan("kept.codes"))) / scans;
answer.parquet_write = await seconds(`COPY codes TO '${columns}' (FORMAT parquet, COMPRESSION zstd)`);
answer.parquet_scan = (await seconds(...scan(`'${columns}'`))) / scans;
answer.export_write = await seconds(`COPY whole TO '${again}' (FORMAT parquet, COMPRESSION zstd)`);
answer.table_bytes = statSync(own).size;
answer.parquet_bytes = statSync(columns).size;
answer.export_bytes = statSync(again).size;
console.log(JSON.stringify(answer));
