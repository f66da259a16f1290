#ifndef EVENRIM_JPEG_DECODE_H
#define EVENRIM_JPEG_DECODE_H
#include <stddef.h>

enum { EVENRIM_JPEG_OK, EVENRIM_JPEG_FATAL, EVENRIM_JPEG_DAMAGED };
enum { EVENRIM_JPEG_GRAY, EVENRIM_JPEG_COLOUR, EVENRIM_JPEG_OTHER };
enum { EVENRIM_JPEG_MESSAGE = 256 };  // > JMSG_LENGTH_MAX

// Both return one of the codes above; message has room for EVENRIM_JPEG_MESSAGE
// bytes and is empty unless something was wrong.
int evenrim_jpeg_header(const unsigned char *data, size_t n, int *w, int *h, int *space, char *message);
int evenrim_jpeg_pixels(const unsigned char *data, size_t n, int rgba, unsigned char *out, int w, int h, char *message);

#endif
