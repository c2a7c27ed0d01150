/**
 * The warning sheet, for printing: hidden on the screen, and the only thing on paper. It keeps a
 * style of its own in a shadow tree, so that neither page disturbs the other.
 */
export function putSheet(host: HTMLElement, sheetHtml: string): void {
  const shadow = host.shadowRoot ?? host.attachShadow({ mode: 'open' });
  // The policy of the page allows no style element but its own, so rules go in as style sheets.
  const rules: string[] = [];
  const markup = sheetHtml.replace(/<style[^>]*>([^]*?)<\/style>/g, (_, text: string) => {
    rules.push(text);
    return '';
  });
  const sheet = new DOMParser().parseFromString(markup, 'text/html');
  shadow.adoptedStyleSheets = rules.map((text) => {
    const own = new CSSStyleSheet();
    own.replaceSync(text);
    return own;
  });
  // The size of the paper counts for the whole document only.
  const paper = new CSSStyleSheet();
  paper.replaceSync(rules.flatMap((text) => text.match(/@page[^{]*\{[^}]*\}/g) ?? []).join('\n'));
  document.adoptedStyleSheets = [paper];
  // Elements named html and body are kept, so that the sheet's own rules find them.
  const page = document.importNode(sheet.documentElement, true);
  for (const head of page.querySelectorAll('head, script, link, meta')) head.remove();
  shadow.replaceChildren(page);
}
