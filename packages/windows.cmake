# A zip for Windows that needs no installer: the program, its letters, and the licences of all that is in it.
set(CPACK_GENERATOR ZIP)
set(CPACK_COMPONENTS_ALL program)
set(CPACK_ARCHIVE_COMPONENT_INSTALL ON)
set(CPACK_COMPONENTS_GROUPING ALL_COMPONENTS_IN_ONE)
set(CPACK_STRIP_FILES ON)
set(CPACK_PACKAGE_FILE_NAME "brink-${PROJECT_VERSION}-windows")

install(FILES "${PROJECT_SOURCE_DIR}/LICENSE" "${PROJECT_SOURCE_DIR}/README.md" "${PROJECT_SOURCE_DIR}/CHANGELOG.md"
  DESTINATION . COMPONENT program)
install(DIRECTORY "${PROJECT_SOURCE_DIR}/docs" DESTINATION . COMPONENT program)
file(GLOB fonts /usr/share/fonts/opentype/inter/Inter-Regular.otf /usr/share/fonts/opentype/inter/Inter-SemiBold.otf)
install(FILES ${fonts} DESTINATION fonts COMPONENT program)
# Debian's own account of each library's licences.
file(GLOB licences "${BRINK_WINDOWS_LIBRARIES}/licences/*")
install(FILES ${licences} DESTINATION licences COMPONENT program)
install(FILES /usr/share/doc/fonts-inter/copyright DESTINATION licences RENAME fonts-inter COMPONENT program)
include(CPack)
