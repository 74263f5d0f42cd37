// Package page writes documents as one HTML file: it opens without a network,
// prints, and is read in grey.
//
// The file holds no script at all. Charts are drawn here as SVG, twice: for a
// wide page and for a telephone, of which the style shows one. Nothing is
// computed but places on the paper; every figure comes from the document.
//
// What is drawn keeps to these rules:
//
//   - No colour alone tells anything: fills differ in lightness and hatching,
//     lines in their dashes, and names stand beside what they name.
//   - Under each chart stand its numbers, its definition and the runs behind it.
//   - The policy in the head allows one style, by its hash, and nothing else:
//     no style attributes, no images, no addresses outside the file.
package page
