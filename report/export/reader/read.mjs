// Runs SQL statements with DuckDB, one an argument, and prints one array of rows a
// statement as JSON: a program that shares no code with ours reads the exports.
import { DuckDBInstance } from "@duckdb/node-api";

const connection = await (await DuckDBInstance.create()).connect();
const answers = [];
for (const statement of process.argv.slice(2)) {
  const reader = await connection.runAndReadAll(statement);
  answers.push(reader.getRowObjectsJson());
}
console.log(JSON.stringify(answers));
