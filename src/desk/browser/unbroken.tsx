/** Words in which names of bags and places (`A-11`, `spring-07`) and dates stay whole where a line ends. */

/** Not the names of photos, which are longer than a phone is wide. */
const WHOLE = /(?<![\p{L}\p{N}-])[\p{L}\p{N}_-]{1,20}-\d+(?![\p{L}\p{N}-]|\.\p{L})/gu;

export function Unbroken({ of }: { of: string }) {
  const found = [...of.matchAll(WHOLE)];
  const before = (n: number): string => {
    const last = found[n - 1];
    return of.slice(last ? last.index + last[0].length : 0, found[n]?.index);
  };
  return (
    <>
      {found.map(([name], n) => (
        <span key={n}>
          {before(n)}
          <span class="whole">{name}</span>
        </span>
      ))}
      {before(found.length)}
    </>
  );
}

/** The same in markup that was put into the page; what is drawn does not break. */
export function keepUnbroken(box: HTMLElement): void {
  const walker = document.createTreeWalker(box, NodeFilter.SHOW_TEXT);
  const texts: Text[] = [];
  while (walker.nextNode()) {
    const { currentNode } = walker;
    if (currentNode instanceof Text && currentNode.parentElement instanceof HTMLElement)
      texts.push(currentNode);
  }
  for (const text of texts) {
    // From the last on, so that the places of those before stay.
    for (const { index, 0: name } of [...text.data.matchAll(WHOLE)].reverse()) {
      const whole = document.createElement('span');
      whole.className = 'whole';
      text.splitText(index + name.length);
      whole.append(text.splitText(index));
      text.after(whole);
    }
  }
}
