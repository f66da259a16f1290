#include <setjmp.h>
#include <stdio.h>
#include <string.h>

#include <jpeglib.h>
#include <jerror.h>

#include "decode.h"

// One decode's error manager: nothing is printed, the first serious message is
// kept, and a fatal error jumps back instead of ending the process.
struct manager {
  struct jpeg_error_mgr pub;
  jmp_buf jump;
  int serious;  // picture data is missing or wrong
  int ended;    // the file ended before its end marker
  char *message;
};

static void fatal(j_common_ptr cinfo) {
  struct manager *m = (struct manager *)cinfo->err;
  (*m->pub.format_message)(cinfo, m->message);
  longjmp(m->jump, 1);
}

static void note(j_common_ptr cinfo, int level) {
  struct manager *m = (struct manager *)cinfo->err;
  if (level >= 0) return;  // trace messages
  switch (m->pub.msg_code) {
  case JWRN_JPEG_EOF:
    m->ended = 1;
    break;
  case JWRN_HIT_MARKER:
  case JWRN_HUFF_BAD_CODE:
  case JWRN_ARITH_BAD_CODE:
  case JWRN_MUST_RESYNC:
    if (!m->serious) (*m->pub.format_message)(cinfo, m->message);
    m->serious = 1;
    break;
  default:  // harmless, for example stray bytes before a marker
    break;
  }
}

static void silent(j_common_ptr cinfo) { (void)cinfo; }

static void prepare(struct manager *m, struct jpeg_decompress_struct *c, char *message) {
  memset(c, 0, sizeof *c);
  memset(m, 0, sizeof *m);
  c->err = jpeg_std_error(&m->pub);
  m->pub.error_exit = fatal;
  m->pub.emit_message = note;
  m->pub.output_message = silent;
  m->message = message;
  message[0] = 0;
}

int evenrim_jpeg_header(const unsigned char *data, size_t n, int *w, int *h, int *space, char *message) {
  struct jpeg_decompress_struct c;
  struct manager m;
  prepare(&m, &c, message);
  if (setjmp(m.jump)) {
    jpeg_destroy_decompress(&c);
    return EVENRIM_JPEG_FATAL;
  }
  jpeg_create_decompress(&c);
  jpeg_mem_src(&c, data, n);
  jpeg_read_header(&c, TRUE);
  *w = (int)c.image_width;
  *h = (int)c.image_height;
  switch (c.jpeg_color_space) {
  case JCS_GRAYSCALE: *space = EVENRIM_JPEG_GRAY; break;
  case JCS_YCbCr:
  case JCS_RGB: *space = EVENRIM_JPEG_COLOUR; break;
  default: *space = EVENRIM_JPEG_OTHER; break;
  }
  jpeg_destroy_decompress(&c);
  return EVENRIM_JPEG_OK;
}

int evenrim_jpeg_pixels(const unsigned char *data, size_t n, int rgba, unsigned char *out, int w, int h, char *message) {
  struct jpeg_decompress_struct c;
  struct manager m;
  prepare(&m, &c, message);
  if (setjmp(m.jump)) {
    jpeg_destroy_decompress(&c);
    return EVENRIM_JPEG_FATAL;
  }
  jpeg_create_decompress(&c);
  jpeg_mem_src(&c, data, n);
  jpeg_read_header(&c, TRUE);
  c.out_color_space = rgba ? JCS_EXT_RGBA : JCS_GRAYSCALE;
  jpeg_start_decompress(&c);
  if ((int)c.output_width != w || (int)c.output_height != h) {
    jpeg_destroy_decompress(&c);
    strcpy(message, "the size changed between header and picture");
    return EVENRIM_JPEG_FATAL;
  }
  size_t stride = (size_t)w * (rgba ? 4 : 1);
  while (c.output_scanline < c.output_height) {
    JSAMPROW rows[8];
    int k;
    for (k = 0; k < 8; k++) rows[k] = out + ((size_t)c.output_scanline + k) * stride;
    int left = h - (int)c.output_scanline;
    jpeg_read_scanlines(&c, rows, left < 8 ? left : 8);
    if (m.serious) break;  // what follows would be invented
  }
  // A single scan without an end marker is whole once its last row is here; with
  // several scans the later ones may be the missing ones.
  int cut = m.serious || (m.ended && jpeg_has_multiple_scans(&c));
  if (cut && !message[0]) strcpy(message, "the file ends before its last scan");
  jpeg_abort_decompress(&c);
  jpeg_destroy_decompress(&c);
  return cut ? EVENRIM_JPEG_DAMAGED : EVENRIM_JPEG_OK;
}
