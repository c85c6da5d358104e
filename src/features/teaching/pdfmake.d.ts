/** What is used of pdfmake. Its published types bring a browser's with them, which then stand in the way of Node's. */
declare module 'pdfmake' {
  interface Styled {
    fontSize?: number;
    bold?: boolean;
    alignment?: 'right';
    margin?: [number, number, number, number];
    width?: '*' | 'auto' | number;
    pageBreak?: 'before';
  }
  interface Layout {
    hLineWidth: (line: number) => number;
    vLineWidth: () => number;
    paddingLeft: () => number;
    paddingRight: () => number;
    paddingTop: () => number;
    paddingBottom: () => number;
  }
  export type Content =
    | string
    | (Styled &
        (
          | { text: string | Content[] }
          | { stack: Content[] }
          | { svg: string }
          | { columns: Content[]; columnGap: number }
          | { table: { widths: '*'[]; body: Content[][] }; layout: Layout }
        ));

  interface Definition {
    pageSize: 'A4' | 'LETTER';
    pageMargins: [number, number, number, number];
    info: { title: string };
    defaultStyle: { font: string; fontSize: number; lineHeight: number };
    content: Content[];
    footer: (page: number, count: number) => Content;
  }

  const pdfmake: {
    setFonts(fonts: Record<string, Record<'normal' | 'bold' | 'italics' | 'bolditalics', string>>): void;
    setUrlAccessPolicy(may: (url: string) => boolean): void;
    setLocalAccessPolicy(may: (path: string) => boolean): void;
    createPdf(definition: Definition): { getBuffer(): Promise<Buffer> };
  };
  export default pdfmake;
}
