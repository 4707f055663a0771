import type { ComponentChildren, VNode } from 'preact';

/** What all pages have around them. */
export function PageFrame({
  title,
  renewal,
  children,
}: {
  title: string;
  /** After so many seconds the browser goes to the room; undefined for a page that stays. */
  renewal?: number | undefined;
  children: ComponentChildren;
}): VNode {
  return (
    <html lang="en">
      <head>
        <meta charSet="utf-8" />
        <meta name="viewport" content="width=device-width, initial-scale=1" />
        <meta name="color-scheme" content="light dark" />
        {/* With the address: a browser that stands at #tanks would renew nothing otherwise. */}
        {renewal !== undefined && <meta http-equiv="refresh" content={`${renewal}; url=/`} />}
        <title>{title}</title>
        <link rel="stylesheet" href="/style.css" />
        <link rel="icon" href="/mark.svg" type="image/svg+xml" />
      </head>
      <body>
        {children}
        <footer class="faint">
          <p>
            ampulla only observes: it never switches equipment. Keep the independent thermostat, and
            an RCD/GFCI on every circuit near water. Local codes and a licensed electrician go
            first.
          </p>
        </footer>
      </body>
    </html>
  );
}

/** A small page that stays until the reader leaves it. `title` is for the tab. */
export function SmallPage({
  title,
  heading,
  children,
}: {
  title: string;
  heading: ComponentChildren;
  children: ComponentChildren;
}): VNode {
  return (
    <PageFrame title={title}>
      <header>
        <p>
          <a href="/">Back to the room</a>
        </p>
        <h1>{heading}</h1>
      </header>
      <main>{children}</main>
    </PageFrame>
  );
}
