// Keys that go on without a touch; while something is typed they are letters.

// onKey calls back when a key is pressed on the page; the answer ends that.
export function onKey(key: string, act: () => void): () => void {
  const press = (event: KeyboardEvent) => {
    const at = event.target as Element;
    if (event.key.toLowerCase() !== key || event.ctrlKey || event.altKey || event.metaKey || at.closest("input:not([type=radio], [type=checkbox]), textarea, select, dialog, [role=application]")) {
      return;
    }
    event.preventDefault();
    act();
  };
  document.addEventListener("keydown", press);
  return () => document.removeEventListener("keydown", press);
}
