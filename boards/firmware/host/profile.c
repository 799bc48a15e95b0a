/*
 * profile.c: where clang's counters lie in the WebAssembly module, for measuring
 * how much of the core the tests reach (tests/reach). In no other build.
 */
#include <stdint.h>

#define DOOR(name) __attribute__((export_name(#name)))
#define FUNCTIONS 400
#define FILES 64

int __llvm_profile_runtime;

static struct {
  void *functions[FUNCTIONS];
  uint32_t count;
  struct {
    const void *at;
    uint32_t size;
  } names[FILES];
  uint32_t files;
} profile;

/* Called before anything else, once for each function and each file of the core, by code that clang adds. */
void __llvm_profile_register_function(void *data);
void __llvm_profile_register_names_function(const void *names, uint64_t size);

void __llvm_profile_register_function(void *data) {
  if (profile.count < FUNCTIONS) profile.functions[profile.count++] = data;
}
void __llvm_profile_register_names_function(const void *names, uint64_t size) {
  if (profile.files == FILES) return;
  profile.names[profile.files].at = names;
  profile.names[profile.files++].size = (uint32_t)size;
}

DOOR(profile_count) uint32_t profile_count(void) { return profile.count; }
DOOR(profile_function) void *profile_function(uint32_t which) { return profile.functions[which]; }
DOOR(profile_files) uint32_t profile_files(void) { return profile.files; }
DOOR(profile_names) const void *profile_names(uint32_t file) { return profile.names[file].at; }
DOOR(profile_names_size) uint32_t profile_names_size(uint32_t file) { return profile.names[file].size; }
