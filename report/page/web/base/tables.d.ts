// A table is bundled as the text that it is.
declare module "*.tsv" {
  const text: string;
  export default text;
}
