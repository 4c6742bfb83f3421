# Warnings are errors on our own code; headers of other libraries are SYSTEM.
add_library(leeward_options INTERFACE)
target_compile_features(leeward_options INTERFACE cxx_std_20)
# -ffp-contract=off: the same bits on every x86-64, and from every clone of a multiversioned function.
target_compile_options(leeward_options INTERFACE -Wall -Wextra -Wshadow -Wconversion -Wold-style-cast -Werror
  -ffp-contract=off)
target_include_directories(leeward_options INTERFACE ${PROJECT_SOURCE_DIR})
if(LEEWARD_SANITIZE)
  target_compile_options(leeward_options INTERFACE -fsanitize=${LEEWARD_SANITIZE} -fno-sanitize-recover=all -fno-omit-frame-pointer)
  target_link_options(leeward_options INTERFACE -fsanitize=${LEEWARD_SANITIZE})
  if(LEEWARD_SANITIZE MATCHES "thread")
    target_compile_definitions(leeward_options INTERFACE LEEWARD_NO_CLONES)
  endif()
endif()
