// Saving: files made in the page, and the link.
/// <reference lib="dom" />

/** Hands a file to the reader. */
export function download(name: string, content: Blob | string, type = "text/plain;charset=utf-8"): void {
  const blob = typeof content === "string" ? new Blob([content], { type }) : content;
  const url = URL.createObjectURL(blob);
  const link = document.createElement("a");
  link.href = url;
  link.download = name;
  link.click();
  // By then the download has begun and keeps what it needs.
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}

/** A drawing as a PNG, for programs that take no SVG. @throws Error if the browser cannot draw it */
export async function pixelsOfDrawing(svg: string): Promise<Blob> {
  const url = URL.createObjectURL(new Blob([svg], { type: "image/svg+xml" }));
  try {
    const image = new Image();
    image.src = url;
    await image.decode();
    const canvas = document.createElement("canvas");
    canvas.width = 2 * image.naturalWidth;
    canvas.height = 2 * image.naturalHeight;
    canvas.getContext("2d")?.drawImage(image, 0, 0, canvas.width, canvas.height);
    return await pngOf(canvas);
  } finally {
    URL.revokeObjectURL(url);
  }
}

/** The PNG of a canvas. @throws Error if the browser cannot write it */
export function pngOf(canvas: HTMLCanvasElement): Promise<Blob> {
  return new Promise((done, failed) => {
    canvas.toBlob(
      (blob) => (blob ? done(blob) : failed(new Error("the picture cannot be written"))),
      "image/png",
    );
  });
}

/** A file name from the letters, digits and hyphens of a text. */
export function fileName(text: string): string {
  const word = text
    .normalize("NFC")
    .toLowerCase()
    .replace(/[^\p{L}\p{N}]+/gu, "-")
    .replace(/^-|-$/g, "");
  return [...word].slice(0, 60).join("") || "design";
}

/** Copies a link to the clipboard; false if the browser does not allow it. */
export async function toClipboard(link: string): Promise<boolean> {
  try {
    await navigator.clipboard.writeText(link);
    return true;
  } catch {
    return false;
  }
}
